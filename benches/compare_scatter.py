#!/usr/bin/env python3
"""Time 100,000 scattered peaks beside a vectorised NumPy version of the same model.

How to run, from the project's folder, with NumPy in an environment outside it:

    cargo build --release
    python3 -m venv venv && venv/bin/pip install numpy
    venv/bin/python benches/compare_scatter.py [DRAWS] [RUNS]

Both sides draw five independent causes and a tail of hard starts for the same load, sort the peaks, and give mean,
standard deviation, seven quantiles and the chance of passing three limits. Three times are printed, the best of RUNS:
this program as a whole process (start, burn, draw, print), NumPy in a process that is running already (the draws and
the figures alone), and NumPy as a whole process (start of Python and import included). NumPy takes the fastest generator
it has (SFC64) and works on whole arrays; this program draws each peak from its own place in
one stream of ChaCha8, so that the answer does not depend on the number of threads.
"""
import json
import os
import subprocess
import sys
import tempfile
import time

LOAD = """
[grain]
count = 4
outside_diameter = "43 mm"
core = "16 mm"
length = "75 mm"
[propellant]
density = "1680 kg/m3"
characteristic_velocity = "1370 m/s"
burn_rate = "7.0 mm/s at 5 MPa"
exponent = 0.36
ratio_of_heats = 1.2
[nozzle]
throat = "27/64 in"
area_ratio = 8
efficiency = 0.95
[scatter]
burn_rate = 0.03
burning_area = 0.015
characteristic_velocity = 0.01
throat = 0.005
model = 0.03
hard_start_chance = 0.0254237
hard_start_ratio = 1.45
hard_start_sigma = 0.18
[limits]
meop = "5.9 MPa"
proof = "8.85 MPa"
yield = "18.6 MPa"
"""
QUANTILES = [0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99]
AMBIENT_PA = 101_325.0


def numpy_scatter(peak_pa, draws, seed):
    """The same model on whole arrays."""
    import numpy as np

    rng = np.random.Generator(np.random.SFC64(seed))
    z = rng.standard_normal((6, draws))
    near = lambda sigma, z: np.maximum(1.0 + sigma * z, 0.05)
    load = near(0.03, z[0]) * near(0.015, z[1]) * near(0.01, z[2]) / near(0.005, z[3]) ** 2
    hard = np.where(rng.random(draws) <= 0.0254237, np.exp(np.log(1.45) + 0.18 * z[5]), 1.0)
    peaks = peak_pa * load ** (1.0 / 0.64) * near(0.03, z[4]) * hard - AMBIENT_PA
    peaks.sort()
    over = lambda limit: 1.0 - np.searchsorted(peaks, limit, side="right") / draws
    return {
        "mean": peaks.mean(),
        "sd": peaks.std(ddof=1),
        "quantiles": np.quantile(peaks, QUANTILES).tolist(),
        "over": [over(5.9e6), over(8.85e6), over(18.6e6)],
    }


def best(runs, work):
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        found = work()
        times.append(time.perf_counter() - start)
    return min(times), found


def main():
    draws = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 15
    if len(sys.argv) > 3:  # as the whole process of the third time
        numpy_scatter(float(sys.argv[3]), draws, 1)
        return
    binary = os.path.join(os.path.dirname(__file__), "..", "target", "release", "proofmark")
    with tempfile.NamedTemporaryFile("w", suffix=".toml", delete=False) as file:
        file.write(LOAD)
    words = [binary, "predict", file.name, "--draws", str(draws), "--seed", "1", "--json"]
    mine_s, out = best(runs, lambda: subprocess.run(words, check=True, capture_output=True).stdout)
    mine = json.loads(out)
    peak = mine["peak_pressure_absolute_pa"]
    numpy_scatter(peak, draws, 0)
    inside_s, other = best(runs, lambda: numpy_scatter(peak, draws, 1))
    again = [sys.executable, __file__, str(draws), "1", str(peak)]
    whole_s, _ = best(max(runs // 3, 3), lambda: subprocess.run(again, check=True))
    os.unlink(file.name)
    scatter = mine["scatter"]
    print(f"{draws} draws, best of {runs}, {os.cpu_count()} processors")
    print(f"  this program, whole process     {mine_s * 1e3:8.1f} ms")
    print(f"  NumPy, draws and figures alone  {inside_s * 1e3:8.1f} ms")
    print(f"  NumPy, whole process            {whole_s * 1e3:8.1f} ms")
    print("  they agree:")
    for name, one, two in [
        ("mean, MPa", scatter["peak_pressure_mean_pa"] / 1e6, other["mean"] / 1e6),
        ("one sigma, MPa", scatter["peak_pressure_sd_pa"] / 1e6, other["sd"] / 1e6),
        ("over MEOP, %", 100 * scatter["chance_over_meop"], 100 * other["over"][0]),
        ("over proof, %", 100 * scatter["chance_over_proof"], 100 * other["over"][1]),
    ]:
        print(f"    {name:16} {one:9.4f} {two:9.4f}")


if __name__ == "__main__":
    main()
