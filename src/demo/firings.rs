//! The club's 58 firings: invented, like everything here. Peak pressures are above vacuum.

/// One firing as the club's sheets have it.
pub(super) struct Fired {
    /// The day.
    pub on: &'static str,
    /// The casing.
    pub casing: &'static str,
    /// Which firing of that casing.
    pub number: u32,
    /// static or flight.
    pub mode: &'static str,
    /// The load.
    pub load: &'static str,
    /// The batch.
    pub batch: &'static str,
    /// Peak pressure, MPa above vacuum.
    pub peak_mpa: f64,
    /// Peak thrust, N.
    pub thrust_n: f64,
    /// Total impulse, N s.
    pub impulse_ns: f64,
    /// Burn time, s.
    pub burn_s: f64,
}

#[allow(clippy::too_many_arguments, reason = "one row of a table")]
const fn fired(
    on: &'static str,
    casing: &'static str,
    number: u32,
    mode: &'static str,
    load: &'static str,
    batch: &'static str,
    peak_mpa: f64,
    thrust_n: f64,
    impulse_ns: f64,
    burn_s: f64,
) -> Fired {
    Fired { on, casing, number, mode, load, batch, peak_mpa, thrust_n, impulse_ns, burn_s }
}

/// Every firing, in the order they happened.
pub(super) const FIRINGS: &[Fired] = &[
    fired("2021-04-10", "Marigold", 1, "static", "41A", "P21-1", 4.06, 310.0, 525.0, 1.83),
    fired("2021-05-22", "Marigold", 2, "flight", "41A", "P21-1", 4.05, 309.0, 525.0, 1.83),
    fired("2021-10-02", "Lapwing", 1, "static", "48A", "P21-1", 5.1, 517.0, 950.0, 1.97),
    fired("2021-10-16", "Marigold", 3, "flight", "41A", "P21-2", 3.91, 298.0, 523.0, 1.89),
    fired("2022-04-02", "Thistle", 1, "static", "48A", "P22-1", 5.06, 512.0, 949.0, 1.99),
    fired("2022-04-23", "Marigold", 4, "flight", "41A", "P22-1", 4.01, 308.0, 524.0, 1.84),
    fired("2022-04-23", "Lapwing", 2, "flight", "48A", "P22-1", 5.04, 512.0, 949.0, 1.99),
    fired("2022-06-18", "Marigold", 5, "flight", "41B", "P22-1", 4.3, 316.0, 529.0, 1.81),
    fired("2022-09-10", "Marigold", 6, "flight", "41B", "P22-2", 4.66, 346.0, 534.0, 1.66),
    fired("2022-09-10", "Lapwing", 3, "flight", "48A", "P22-2", 5.36, 550.0, 955.0, 1.86),
    fired("2022-09-10", "Thistle", 2, "flight", "48A", "P22-2", 5.21, 533.0, 953.0, 1.92),
    fired("2023-03-18", "Bracken", 1, "static", "60A", "P22-2", 5.62, 1198.0, 2671.0, 2.4),
    fired("2023-03-18", "Heron", 1, "static", "60R", "P22-2", 3.48, 701.0, 1882.0, 2.9),
    fired("2023-04-15", "Marigold", 7, "static", "41B", "P23-1", 4.31, 318.0, 529.0, 1.79),
    fired("2023-04-15", "Thistle", 3, "static", "48A", "P23-1", 4.98, 510.0, 948.0, 2.0),
    fired("2023-05-20", "Bracken", 2, "static", "60A", "P23-1", 5.17, 1095.0, 2648.0, 2.6),
    fired("2023-05-20", "Heron", 2, "static", "60A", "P23-1", 5.44, 1160.0, 2662.0, 2.47),
    fired("2023-06-17", "Marigold", 8, "flight", "41B", "P23-1", 4.27, 316.0, 528.0, 1.81),
    fired("2023-06-17", "Lapwing", 4, "flight", "48A", "P23-1", 5.16, 530.0, 951.0, 1.93),
    fired("2023-09-16", "Marigold", 9, "flight", "41B", "P23-2", 4.3, 319.0, 529.0, 1.79),
    fired("2023-09-16", "Thistle", 4, "flight", "48A", "P23-2", 5.2, 539.0, 952.0, 1.9),
    fired("2023-09-16", "Heron", 3, "flight", "60A", "P23-2", 5.52, 1182.0, 2666.0, 2.43),
    fired("2023-09-30", "Bracken", 3, "static", "60A", "P23-2", 5.67, 1214.0, 2673.0, 2.37),
    fired("2024-03-23", "Bracken", 4, "static", "60A", "P23-2", 5.45, 1165.0, 2662.0, 2.46),
    fired("2024-04-13", "Juniper", 1, "static", "48A", "P23-2", 5.11, 517.0, 950.0, 1.97),
    fired("2024-04-27", "Marigold", 10, "flight", "41B", "P23-2", 4.52, 338.0, 532.0, 1.7),
    fired("2024-05-11", "Marigold", 11, "flight", "41B", "P24-2", 4.12, 306.0, 526.0, 1.86),
    fired("2024-05-11", "Thistle", 5, "flight", "48A", "P24-2", 4.82, 498.0, 944.0, 2.04),
    fired("2024-05-11", "Heron", 4, "flight", "60A", "P24-2", 5.07, 1080.0, 2642.0, 2.64),
    fired("2024-05-25", "Bracken", 5, "static", "60A", "P24-2", 5.27, 1126.0, 2653.0, 2.54),
    fired("2024-07-20", "Finch", 1, "static", "41A", "P24-1", 4.3, 330.0, 529.0, 1.73),
    fired("2024-07-20", "Bracken", 6, "static", "60A", "P24-1", 5.68, 1225.0, 2673.0, 2.35),
    fired("2024-09-14", "Marigold", 12, "flight", "41B", "P24-1", 4.76, 353.0, 535.0, 1.63),
    fired("2024-09-14", "Finch", 2, "flight", "41A", "P24-2", 4.08, 312.0, 525.0, 1.82),
    fired("2024-09-14", "Juniper", 2, "flight", "48B", "P24-2", 5.19, 692.0, 1269.0, 1.97),
    fired("2024-09-14", "Heron", 5, "flight", "60A", "P24-2", 5.11, 1093.0, 2645.0, 2.6),
    fired("2024-09-28", "Thistle", 6, "static", "48A", "P24-1", 8.97, 978.0, 966.0, 1.62),
    fired("2024-09-28", "Bracken", 7, "static", "60A", "P24-2", 5.18, 1111.0, 2648.0, 2.57),
    fired("2024-11-09", "Bracken", 8, "static", "60A", "P24-2", 5.15, 1105.0, 2646.0, 2.58),
    fired("2025-03-08", "Marigold", 13, "flight", "41B", "P25-1", 4.53, 336.0, 532.0, 1.71),
    fired("2025-04-12", "Patchwork", 1, "static", "48V", "P25-1", 4.67, 492.0, 941.0, 2.06),
    fired("2025-04-12", "Bracken", 9, "static", "60A", "P25-1", 5.41, 1169.0, 2660.0, 2.45),
    fired("2025-05-10", "Marigold", 14, "flight", "41B", "P25-1", 4.4, 326.0, 530.0, 1.76),
    fired("2025-05-10", "Finch", 3, "flight", "41B", "P25-1", 4.51, 333.0, 532.0, 1.72),
    fired("2025-05-10", "Juniper", 3, "flight", "48B", "P25-1", 5.45, 733.0, 1276.0, 1.87),
    fired("2025-05-10", "Heron", 6, "flight", "60A", "P25-1", 5.31, 1142.0, 2655.0, 2.5),
    fired("2025-06-14", "Bracken", 10, "static", "60R", "P25-1", 3.36, 686.0, 1870.0, 2.95),
    fired("2025-08-16", "Heron", 7, "static", "60A", "P25-2", 4.9, 1049.0, 2632.0, 2.7),
    fired("2025-09-20", "Patchwork", 2, "flight", "48V", "P25-2", 4.44, 467.0, 935.0, 2.15),
    fired("2025-10-04", "Bracken", 11, "static", "60A", "P25-2", 5.05, 1090.0, 2641.0, 2.61),
    fired("2025-10-11", "Marigold", 15, "flight", "41B", "P25-2", 4.03, 296.0, 525.0, 1.91),
    fired("2025-10-11", "Finch", 4, "flight", "41B", "P25-2", 4.2, 309.0, 527.0, 1.84),
    fired("2025-10-11", "Juniper", 4, "flight", "48B", "P25-2", 4.98, 667.0, 1264.0, 2.03),
    fired("2026-04-18", "Heron", 8, "static", "60R", "P26-1", 3.38, 677.0, 1872.0, 2.99),
    fired("2026-05-16", "Marigold", 16, "flight", "41B", "P26-1", 4.39, 327.0, 530.0, 1.75),
    fired("2026-05-16", "Patchwork", 3, "flight", "48V", "P26-1", 4.59, 487.0, 939.0, 2.07),
    fired("2026-08-15", "Marigold", 17, "flight", "41B", "P26-1", 4.4, 328.0, 530.0, 1.75),
    fired("2026-08-15", "Finch", 5, "static", "41B", "P26-1", 4.28, 316.0, 529.0, 1.81),
];
