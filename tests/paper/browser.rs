//! The pages in a real browser: Chromium prints them, works out their contrast and says what they tried to load.
//!
//! Where no Chromium is installed these tests say so and pass; with `PROOFMARK_BROWSER=required`, as `.ci/run` sets
//! it, they fail.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use super::common::{Shop, pixel, trace_file};

fn browser() -> Option<PathBuf> {
    let found = ["chromium", "chromium-browser", "google-chrome"]
        .iter()
        .flat_map(|name| {
            ["/usr/bin", "/usr/local/bin", "/snap/bin"].map(|folder| Path::new(folder).join(name))
        })
        .find(|path| path.exists());
    if found.is_none() {
        assert!(
            std::env::var_os("PROOFMARK_BROWSER").is_none_or(|word| word != "required"),
            "no Chromium is installed, and this run requires one"
        );
        eprintln!("no Chromium is installed: the pages were not looked at in a browser");
    }
    found
}

fn chromium(browser: &Path, more: &[&str], page: &Path) -> std::process::Output {
    let profile = tempfile::tempdir().unwrap();
    Command::new(browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--host-resolver-rules=MAP * ~NOTFOUND",
            "--window-size=800,1100",
        ])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(more)
        .arg(format!("file://{}", page.display()))
        .output()
        .unwrap()
}

/// Print as it is, its own policy forbidding every script; how many pages, and their size in points.
fn printed(browser: &Path, shop: &Shop, name: &str, paper: &str) -> (usize, (f64, f64)) {
    let sized =
        shop.read(name).replace("</head>", &format!("<style>@page {{ size: {paper} }}</style></head>"));
    let page = shop.write(&format!("{paper}-{name}"), sized);
    let pdf = shop.path(&format!("{paper}-{name}.pdf"));
    let flags = ["--no-pdf-header-footer".to_owned(), format!("--print-to-pdf={}", pdf.display())];
    let output = chromium(browser, &flags.each_ref().map(String::as_str), &page);
    let bytes = std::fs::read(&pdf).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)));
    let text = String::from_utf8_lossy(&bytes);
    let pages = text.matches("/Type /Page\n").count() + text.matches("/Type /Page/").count();
    let counted = text
        .split("/Count ")
        .nth(1)
        .and_then(|rest| rest.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok());
    let media = text.split("/MediaBox [").nth(1).unwrap().split(']').next().unwrap();
    let size: Vec<f64> = media.split_whitespace().map(|word| word.parse().unwrap()).collect();
    (counted.unwrap_or(pages), (size[2], size[3]))
}

/// What a script sees: every text's contrast, what was loaded, what runs, what sticks out at the side.
const LOOK: &str = r#"<script>
addEventListener('load', () => {
  const rgb = text => (text.match(/[\d.]+/g) || []).map(Number);
  const lum = ([r, g, b]) => { const f = v => (v /= 255) <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b); };
  const ground = node => { for (; node; node = node.parentElement) { const c = rgb(getComputedStyle(node).backgroundColor);
    if (c.length === 3 || (c.length === 4 && c[3] === 1)) return c; } return [255, 255, 255]; };
  let least = 99, where = '', texts = 0;
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, parent = node.parentElement;
    if (!node.textContent.trim() || ['SCRIPT', 'STYLE', 'title', 'desc'].includes(parent.tagName)) continue;
    const style = getComputedStyle(parent), svg = parent instanceof SVGElement;
    const ink = rgb(svg ? style.fill : style.color), back = ground(parent);
    const [a, b] = [lum(ink), lum(back)].sort((x, y) => y - x), ratio = (a + 0.05) / (b + 0.05);
    texts++; if (ratio < least) { least = ratio; where = node.textContent.trim().slice(0, 60); }
  }
  const root = document.documentElement;
  const said = { texts, least, where, loaded: performance.getEntriesByType('resource').map(e => e.name).filter(n => !n.startsWith('data:')),
    scripts: document.scripts.length - 1, images: [...document.images].map(i => ({ok: i.complete && i.naturalWidth > 0, data: i.src.startsWith('data:image/')})),
    wide: root.scrollWidth - root.clientWidth, alerted: !!window.alerted, svgs: document.querySelectorAll('svg').length,
    untitled: [...document.querySelectorAll('svg[role=img]')].filter(s => !s.querySelector('title')).length };
  const out = document.createElement('pre'); out.id = 'said'; out.textContent = 'SAID' + JSON.stringify(said) + 'DIAS'; document.body.append(out);
});
</script>"#;

fn looked_at(browser: &Path, shop: &Shop, name: &str) -> Value {
    let page = shop.read(name);
    let policy = page.find("<meta http-equiv=\"Content-Security-Policy\"").unwrap();
    let end = policy + page[policy..].find('>').unwrap() + 1;
    // The page forbids scripts; the copy that is looked at does not.
    let open = format!("{}{}", &page[..policy], &page[end..]).replace("</head>", &format!("{LOOK}</head>"));
    let path = shop.write(&format!("look-{name}"), open);
    let output = chromium(browser, &["--dump-dom"], &path);
    let dom = String::from_utf8_lossy(&output.stdout);
    let said = dom
        .split("SAID{")
        .nth(2)
        .or_else(|| dom.split("SAID{").nth(1))
        .and_then(|rest| rest.split("}DIAS").next());
    let text =
        format!("{{{}}}", said.unwrap_or_else(|| panic!("{}", String::from_utf8_lossy(&output.stderr))));
    serde_json::from_str(&text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")).unwrap()
}

#[test]
fn pages_print_on_both_papers_read_well_and_load_nothing() {
    let Some(browser) = browser() else { return };
    let shop = Shop::demo();
    let bad = "<script>window.alerted=1</script><img src=x onerror=\"window.alerted=1\">";
    shop.done(&[
        "log",
        "trace",
        "--casing",
        "MF-48-02",
        "--firing",
        "210",
        "--file",
        &trace_file("stand_a.csv"),
    ]);
    shop.write("spot.png", pixel());
    shop.done(&["log", "photo", "--casing", "MF-48-02", "--path", "spot.png", "--caption", bad]);
    shop.done(&["log", "note", "--casing", "MF-48-02", "--text", bad]);
    // Name, pages it may have, drawings it has at least.
    let pages: [(&str, &[&str], std::ops::RangeInclusive<usize>, u64); 6] = [
        ("passport.html", &["report", "MF-48-02"], 4..=9, 4),
        ("old.html", &["report", "MF-41-06"], 5..=14, 4),
        ("card.html", &["report", "MF-76-09", "--card", "--load", "76A"], 1..=1, 1),
        ("forbidden.html", &["report", "MF-48-02", "--card", "--load", "48A"], 1..=1, 1),
        ("due.html", &["report", "--due", "2026-10-17"], 1..=2, 0),
        ("strip.html", &["report", "--blank", "strip"], 2..=4, 0),
    ];
    for (name, arguments, _, _) in &pages {
        shop.done(&[arguments, &["--out", name][..]].concat());
    }
    std::thread::scope(|scope| {
        for part in pages.chunks(3) {
            let (shop, browser) = (&shop, &browser);
            scope.spawn(move || {
                for (name, _, count, drawings) in part {
                    for (paper, wide, tall) in [("A4", 595.0, 842.0), ("letter", 612.0, 792.0)] {
                        let (pages, size) = printed(browser, shop, name, paper);
                        assert!(count.contains(&pages), "{name} on {paper}: {pages} pages");
                        assert!(
                            (size.0 - wide).abs() < 1.5 && (size.1 - tall).abs() < 1.5,
                            "{name} {paper}: {size:?}"
                        );
                    }
                    let said = looked_at(browser, shop, name);
                    assert!(said["texts"].as_u64().unwrap() > 30, "{name}: {said}");
                    assert!(
                        said["least"].as_f64().unwrap() >= 4.5,
                        "{name}: contrast {} of \"{}\"",
                        said["least"],
                        said["where"]
                    );
                    assert_eq!(
                        said["loaded"].as_array().unwrap().len(),
                        0,
                        "{name} loads {}",
                        said["loaded"]
                    );
                    assert_eq!(
                        (said["scripts"].as_i64(), said["alerted"].as_bool()),
                        (Some(0), Some(false)),
                        "{name}"
                    );
                    assert!(
                        said["wide"].as_i64().unwrap() <= 0,
                        "{name} is {} wider than its window",
                        said["wide"]
                    );
                    assert!(said["svgs"].as_u64().unwrap() >= *drawings, "{name}: {said}");
                    assert_eq!(said["untitled"], 0, "{name}: a drawing without a title");
                    for image in said["images"].as_array().unwrap() {
                        assert!(image["ok"] == true && image["data"] == true, "{name}: {said}");
                    }
                }
            });
        }
    });
}

#[test]
fn a_label_is_read_back_by_a_browser_as_a_drawing() {
    let Some(browser) = browser() else { return };
    let shop = Shop::demo();
    shop.done(&["label", "MF-48-02", "--out", "l.svg"]);
    let picture = shop.path("l.png");
    chromium(&browser, &[&format!("--screenshot={}", picture.display())], &shop.path("l.svg"));
    let mut reader = png::Decoder::new(std::io::BufReader::new(std::fs::File::open(&picture).unwrap()))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut pixels).unwrap();
    let dark = pixels.chunks(frame.color_type.samples()).filter(|pixel| pixel[0] < 64).count();
    assert!(dark > 2000, "the code is drawn: {dark} dark pixels");
}
