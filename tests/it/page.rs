//! The HTML report as Chromium shows it.

use crate::common::browser::{Browser, STICKS_OUT};
use crate::common::sha256;
use crate::outside::{self, root, said, truerise};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// A page with the JSON of the same run.
struct Run {
    page: PathBuf,
    json: Value,
    folder: tempfile::TempDir,
}

impl Run {
    /// Alters a drawing by a table of changes, with these further options.
    fn of(drawing: &[u8], table: &str, options: &[&str]) -> Run {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("nest.dxf"), drawing).unwrap();
        fs::write(at("sizes.csv"), table).unwrap();
        fs::write(at("job.toml"), "[tolerance]\ninseam = \"1.5 mm\"\n").unwrap();
        let mut program = truerise();
        program.current_dir(folder.path());
        program.args([
            "alter",
            "nest.dxf",
            "--sizes",
            "sizes.csv",
            "-o",
            "new.dxf",
            "--job",
            "job.toml",
            "--quiet",
        ]);
        program.args(["--report", "r.html", "--report", "r.json"]).args(options);
        let output = program.output().unwrap();
        assert!(output.status.code() != Some(2), "{}", said(&output));
        let json = outside::json(&fs::read(at("r.json")).unwrap());
        Run { page: at("r.html"), json, folder }
    }

    /// The SHA-256 of a file of the run.
    fn sum(&self, name: &str) -> String {
        sha256(&self.folder.path().join(name))
    }

    fn text(&self) -> String {
        fs::read_to_string(&self.page).unwrap()
    }

    fn size(&self, name: &str) -> &Value {
        self.json["sizes"].as_array().unwrap().iter().find(|s| s["size"] == name).unwrap()
    }
}

fn sample() -> Vec<u8> {
    fs::read(root().join("samples/harbour-nest.dxf")).unwrap()
}

const EVEN: &str = "size,change,note\n34,12.5,\n38,25.4,sample size\n44,-9,\"<b>seat</b>\"\n";
const UNEVEN: &str = "size,change,front_share\n38,30,40%\n40,30,30%\n";

/// Runs with one of each remedy, and one that fails.
fn runs() -> Vec<Run> {
    vec![
        Run::of(&sample(), EVEN, &[]),
        Run::of(&sample(), UNEVEN, &["--uneven", "fork"]),
        Run::of(&sample(), UNEVEN, &["--uneven", "waist"]),
        Run::of(&sample(), UNEVEN, &["--uneven", "keep"]),
    ]
}

/// Values of attributes of this name.
fn attributes<'t>(text: &'t str, name: &str) -> Vec<&'t str> {
    let key = format!("{name}=\"");
    text.split(&key).skip(1).map(|rest| rest.split('"').next().unwrap()).collect()
}

#[test]
fn the_page_needs_nothing_from_elsewhere_and_makes_no_complaint() {
    for run in runs() {
        let text = run.text();
        for link in attributes(&text, "href").iter().chain(&attributes(&text, "src")) {
            assert!(link.starts_with('#'), "{link}");
            assert!(text.contains(&format!("id=\"{}\"", &link[1..])), "{link} leads nowhere");
        }
        for never in ["<script", "url(", "@import", "@font-face", "<link", "http:", "https:", "javascript:"] {
            assert!(!text.contains(never), "{never}");
        }
        let Some(mut browser) = Browser::start() else { continue };
        browser.open(&run.page);
        let methods = ["Log.entryAdded", "Runtime.consoleAPICalled", "Runtime.exceptionThrown"];
        for event in &browser.events {
            let method = event["method"].as_str().unwrap_or_default();
            assert!(!methods.contains(&method), "{event}");
            if method == "Network.requestWillBeSent" {
                let url = event["params"]["request"]["url"].as_str().unwrap();
                assert!(url.ends_with("r.html"), "{url}");
            }
        }
        assert_eq!(browser.value("document.compatMode"), "CSS1Compat");
    }
}

#[test]
fn a_size_that_is_refused_is_drawn_as_it_is() {
    let run = Run::of(&sample(), "size,change\n38,900\n", &[]);
    assert_eq!(run.size("38")["status"], "refused");
    let text = run.text();
    for link in attributes(&text, "href") {
        assert!(text.contains(&format!("id=\"{}\"", &link[1..])), "{link} leads nowhere");
    }
    assert!(text.contains("Size 38 ") && text.contains("slide-too-large"));
    assert_eq!(text.matches("class=\"band\"").count(), 1, "none but that of the key");
    assert!(!text.contains("data-when=\"after\""), "nothing moved");
}

#[test]
fn equal_input_gives_equal_bytes() {
    assert_eq!(Run::of(&sample(), EVEN, &[]).text(), Run::of(&sample(), EVEN, &[]).text());
}

/// A number as the page writes it: two decimals, a true minus, a sign where it is a difference.
fn written(value: &Value, sign: bool) -> String {
    let Some(value) = value.as_f64() else { return "–".to_owned() };
    let text = format!("{:.2}", value.abs());
    if text == "0.00" {
        text
    } else if value < 0.0 {
        format!("−{text}")
    } else if sign {
        format!("+{text}")
    } else {
        text
    }
}

#[test]
fn the_table_says_what_the_json_says() {
    for run in runs() {
        let Some(mut browser) = Browser::start() else { return };
        browser.open(&run.page);
        let rows = browser.value(
            "[...document.querySelectorAll('table.sizes tbody tr:not(.note)')].map(r => [...r.cells].map(c => c.innerText))",
        );
        let rows = rows.as_array().unwrap();
        assert_eq!(rows.len(), run.json["sizes"].as_array().unwrap().len());
        for row in rows {
            let size = run.size(row[0].as_str().unwrap());
            assert_eq!(row[1], size["status"]);
            assert_eq!(row[2], written(&size["asked"]["crotch_length_mm"], false));
            assert_eq!(row[3], written(&size["before"]["crotch_length_mm"], false));
            assert_eq!(row[4], written(&size["asked"]["change_mm"], true));
            assert_eq!(row[5], written(&size["after"]["crotch_length_mm"], false));
            assert_eq!(row[6], written(&size["residual_mm"], true));
            for (cell, part) in [(7, "front"), (8, "back")] {
                let moves = &size["moves"][part];
                let mut told = vec![written(&moves["along_mm"], true)];
                for (word, key) in [("across", "across_mm"), ("waist", "waist_mm")] {
                    if moves[key].as_f64().unwrap_or(0.0) != 0.0 {
                        told.push(format!("{word} {}", written(&moves[key], true)));
                    }
                }
                assert_eq!(row[cell], told.join(", "));
            }
        }
        let text = browser.value("document.body.innerText");
        let text = text.as_str().unwrap();
        assert!(text.contains(run.json["drawing"]["sha256"].as_str().unwrap()));
        for input in ["sizes.csv", "job.toml"] {
            assert!(text.contains(&format!("{input}, SHA-256 {}", run.sum(input))), "{input}");
        }
        if let Some(hash) = run.json["output"]["sha256"].as_str() {
            assert!(text.contains(hash));
        }
        let word = browser.value("document.querySelector('.verdict .word').textContent");
        assert_eq!(word.as_str().unwrap().to_lowercase(), run.json["verdict"].as_str().unwrap());
        let findings =
            run.json["sizes"].as_array().unwrap().iter().flat_map(|s| s["findings"].as_array().unwrap());
        for finding in findings {
            assert!(text.contains(finding["message"].as_str().unwrap()), "{finding}");
        }
    }
}

#[test]
fn the_measures_of_each_size_are_those_of_the_json() {
    let Some(mut browser) = Browser::start() else { return };
    for run in runs() {
        browser.open(&run.page);
        let sections = browser.value(
            "[...document.querySelectorAll('section.size')].map(s => [s.querySelector('h2').firstChild.textContent.trim(), \
             ...[...s.querySelectorAll('.measures tbody tr')].map(r => [...r.cells].map(c => c.innerText))])",
        );
        let sections = sections.as_array().unwrap();
        assert_eq!(sections.len(), 7);
        for section in sections {
            let size = run.size(section[0].as_str().unwrap().strip_prefix("Size ").unwrap());
            let (before, after) = (&size["before"], &size["after"]);
            let compared = |was: &Value, is: &Value| {
                let difference = Value::from(is.as_f64().unwrap() - was.as_f64().unwrap());
                [written(was, false), written(is, false), written(&difference, true)]
            };
            for (row, name) in section.as_array().unwrap()[1..7]
                .iter()
                .zip(["rise", "inseam", "outseam", "waist", "thigh", "hem"])
            {
                assert_eq!(row[0], name);
                let key = format!("{name}_mm");
                let front = compared(&before["front"][&key], &after["front"][&key]);
                let back = compared(&before["back"][&key], &after["back"][&key]);
                let cells: Vec<&str> =
                    row.as_array().unwrap()[1..].iter().map(|c| c.as_str().unwrap()).collect();
                assert_eq!(cells, [front, back].concat());
            }
            let crotch = compared(&before["crotch_length_mm"], &after["crotch_length_mm"]);
            let cells: Vec<&str> =
                section[7].as_array().unwrap()[1..].iter().map(|c| c.as_str().unwrap()).collect();
            assert_eq!(cells, crotch);
        }
    }
}

/// Lengths by the browser's own reading of the path data, against the measures of the JSON.
#[test]
fn drawn_lines_are_as_long_as_the_table_says() {
    let Some(mut browser) = Browser::start() else { return };
    for run in runs() {
        browser.open(&run.page);
        let paths = browser.value(
            "[...document.querySelectorAll('path[data-seam]')].map(p => { const d = p.dataset; return [p.closest('section.size') \
             .querySelector('h2').firstChild.textContent.trim().slice(5), d.seam, d.part || '', d.when, p.getTotalLength(), +d.length] })",
        );
        let mut seen = 0;
        for path in paths.as_array().unwrap() {
            let size = run.size(path[0].as_str().unwrap());
            let (seam, part) = (path[1].as_str().unwrap(), path[2].as_str().unwrap());
            let whens: &[&str] = match path[3].as_str().unwrap() {
                "both" => &["before", "after"],
                "before" => &["before"],
                _ => &["after"],
            };
            for when in whens {
                let measures = &size[when];
                let told = match seam {
                    "joined" => &measures["crotch_length_mm"],
                    "crotch" => &measures[part]["rise_mm"],
                    other => &measures[part][format!("{other}_mm")],
                };
                let (told, drawn) = (told.as_f64().unwrap(), path[4].as_f64().unwrap());
                // Two decimals of a millimetre: each point is off by 0.007 mm at most.
                assert!((told - drawn).abs() < 0.1, "{path} against {told}");
                assert!((path[5].as_f64().unwrap() - told).abs() < 0.006, "{path} against {told}");
                seen += 1;
            }
        }
        // Five seams of two pieces and the joined curve, before and after, in seven sizes.
        assert_eq!(seen, 7 * 2 * (5 * 2 + 1));
    }
}

#[test]
fn drawings_are_to_scale_and_arrows_as_long_as_the_slide() {
    let Some(mut browser) = Browser::start() else { return };
    let run = Run::of(&sample(), EVEN, &[]);
    browser.window(1280, false);
    browser.open(&run.page);
    let scales = browser.value(
        "[...document.querySelectorAll('figure.drawing > svg')].map(s => { const m = s.getScreenCTM(); return [s.parentNode.id, m.a, m.d] })",
    );
    let scales = scales.as_array().unwrap();
    assert!(scales.len() > 20);
    for scale in scales {
        let (x, y) = (scale[1].as_f64().unwrap(), scale[2].as_f64().unwrap());
        assert!((x - y).abs() < 1e-3 * x, "{scale}");
    }
    let whole: Vec<f64> = scales
        .iter()
        .filter(|s| s[0].as_str().unwrap().ends_with("-whole"))
        .map(|s| s[1].as_f64().unwrap())
        .collect();
    // A browser lays boxes out in 64ths of a pixel: of a picture of some 600 pixels 3e-5.
    assert!(
        whole.iter().all(|s| (s - whole[0]).abs() < 3e-5 * whole[0]),
        "one scale for all sizes: {whole:?}"
    );
    // The first stroke of each arrow at the forks, in mm down the page.
    let arrows = browser.value(
        "[...document.querySelectorAll('figure[id$=-fork]')].map(f => [f.closest('section').querySelector('h2').firstChild.textContent \
         .trim().slice(5), ...[...f.querySelectorAll('path.arrow')].map(p => p.getAttribute('d'))])",
    );
    let mut seen = 0;
    for figure in arrows.as_array().unwrap() {
        let size = run.size(figure[0].as_str().unwrap());
        for (arrow, part) in figure.as_array().unwrap()[1..].iter().zip(["front", "back"]) {
            let first = arrow.as_str().unwrap().trim_start_matches('M').split('M').next().unwrap();
            let ends: Vec<f64> = first.split(['L', ' ']).map(|n| n.parse().unwrap()).collect();
            let along = size["moves"][part]["along_mm"].as_f64().unwrap();
            assert!(
                (ends[3] - ends[1] - along).abs() < 0.02 && (ends[0] - ends[2]).abs() < 1e-9,
                "{arrow} against {along}"
            );
            seen += 1;
        }
    }
    assert_eq!(seen, 6, "three altered sizes");
}

#[test]
fn names_from_a_drawing_stay_text() {
    let name = "FRONT <script>alert(1)</script>&amp;\"'\u{1b}[31m";
    let text = String::from_utf8(sample()).unwrap();
    let evil = text.replace("Piece Name: FRONT", &format!("Piece Name: {name}"));
    assert_ne!(text, evil, "the sample has a piece called FRONT");
    let run =
        Run::of(evil.as_bytes(), "size,change,note\n38,25.4,</table><img src=x onerror=alert(2)>\n", &[]);
    let page = run.text();
    assert!(!page.contains("<script") && !page.contains("<img"));
    assert!(page.chars().all(|c| c == '\n' || !c.is_control()));
    let Some(mut browser) = Browser::start() else { return };
    browser.open(&run.page);
    assert_eq!(browser.value("document.scripts.length + document.images.length"), 0);
    let shown = browser.value("document.querySelector('section.size svg text').textContent");
    assert_eq!(shown, "FRONT <script>alert(1)</script>&amp;\"'\\u{1b}[31m");
    assert!(
        browser
            .value("document.body.innerText")
            .as_str()
            .unwrap()
            .contains("</table><img src=x onerror=alert(2)>")
    );
    assert!(!browser.events.iter().any(|e| e["method"] == "Page.javascriptDialogOpening"));
}

/// What sticks out at the right, but for what scrolls by itself.
#[test]
fn nothing_sticks_out_on_a_phone_a_desk_or_paper() {
    let Some(mut browser) = Browser::start() else { return };
    for run in [Run::of(&sample(), EVEN, &[]), Run::of(&sample(), UNEVEN, &["--uneven", "fork"])] {
        for width in [320, 390, 768, 1280] {
            browser.window(width, false);
            browser.open(&run.page);
            assert_eq!(browser.value(STICKS_OUT), Value::Array(vec![]), "at {width} px");
            assert_eq!(browser.value("document.documentElement.scrollWidth"), width);
        }
        // The paper less the margins of the page, at 96 pixels an inch: 210 and 215.9 mm wide.
        for width in [695, 717] {
            browser.window(width, false);
            browser.media("print", false);
            browser.open(&run.page);
            let all = STICKS_OUT.replace("!e.closest('.wide') && ", "");
            assert_eq!(browser.value(&all), Value::Array(vec![]), "on paper {width} px wide");
        }
    }
}

#[test]
fn it_prints_on_a4_and_letter_with_two_of_many_sizes_on_a_page() {
    let Some(mut browser) = Browser::start() else { return };
    let run = Run::of(&sample(), EVEN, &[]);
    browser.open(&run.page);
    for (wide, high) in [(210.0 / 25.4, 297.0 / 25.4), (8.5, 11.0)] {
        let pdf = lopdf::Document::load_mem(&browser.print(wide, high)).unwrap();
        let pages = pdf.get_pages();
        let texts: Vec<String> = pages.keys().map(|n| pdf.extract_text(&[*n]).unwrap_or_default()).collect();
        for size in [34, 36, 38, 40, 42, 44, 46] {
            let heading = format!("Size {size}");
            let on: Vec<&String> = texts.iter().filter(|t| t.contains(&heading)).collect();
            assert_eq!(on.len(), 1, "{heading}");
            let of_it =
                on[0].matches("angles at the fork").count() - on[0].matches("angles at the fork add").count();
            assert!(of_it >= 1, "{heading} with its measures on the same page");
        }
        assert!(pages.len() <= 9, "{} pages for seven sizes", pages.len());
        let last = texts.last().unwrap();
        assert!(last.contains("Release") && last.contains("Size"), "no page for a few lines: {last}");
        for id in pages.values() {
            let page = pdf.get_dictionary(*id).unwrap();
            let corner: Vec<f32> = page
                .get(b"MediaBox")
                .unwrap()
                .as_array()
                .unwrap()
                .iter()
                .map(|n| n.as_float().unwrap())
                .collect();
            assert!((f64::from(corner[2]) - wide * 72.0).abs() < 1.0, "{corner:?}");
            assert!((f64::from(corner[3]) - high * 72.0).abs() < 1.0, "{corner:?}");
        }
    }
}

/// Contrast by the formula of WCAG 2.1 (relative luminance and contrast ratio): 4.5 for text (1.4.3), 3 for lines that
/// carry meaning (1.4.11).
#[test]
fn text_and_lines_stand_out_in_light_and_dark() {
    const SCRIPT: &str = "(() => {
        const rgb = c => { const m = c.match(/[\\d.]+/g).map(Number); return m.length > 3 && m[3] == 0 ? null : m };
        const lum = m => { const [r, g, b] = m.slice(0, 3).map(v => v / 255).map(v => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
            return 0.2126 * r + 0.7152 * g + 0.0722 * b };
        const behind = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor); if (c) return c } return [255, 255, 255] };
        const ratio = (a, b) => { const [x, y] = [lum(a), lum(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05) };
        const out = [];
        for (const e of document.querySelectorAll('body *')) {
            const text = [...e.childNodes].some(n => n.nodeType == 3 && n.textContent.trim());
            const s = getComputedStyle(e);
            if (text && e.tagName != 'title') out.push([ratio(rgb(e.closest('svg') ? s.fill : s.color), behind(e)), 4.5, e.tagName + ' ' + e.textContent.slice(0, 30)]);
            if (e.matches('path.new, path.old, path.still, path.cut, path.notch, path.arrow, path.grain, path.ends'))
                out.push([ratio(rgb(s.stroke), behind(e)), 3, e.getAttribute('class')]);
        }
        return out })()";
    let Some(mut browser) = Browser::start() else { return };
    for run in [Run::of(&sample(), EVEN, &[]), Run::of(&sample(), UNEVEN, &[])] {
        for dark in [false, true] {
            browser.window(1280, dark);
            browser.open(&run.page);
            let found = browser.value(SCRIPT);
            let found = found.as_array().unwrap();
            assert!(found.len() > 300);
            for one in found {
                assert!(one[0].as_f64().unwrap() >= one[1].as_f64().unwrap(), "dark {dark}: {one}");
            }
        }
    }
}

const WIDTH: &str = "document.querySelector('#s0-fork > svg').getBoundingClientRect().width";

#[test]
fn a_drawing_opens_over_the_whole_window_and_closes_again() {
    let Some(mut browser) = Browser::start() else { return };
    let run = Run::of(&sample(), EVEN, &[]);
    browser.window(1280, false);
    browser.open(&run.page);
    let small = browser.value(WIDTH).as_f64().unwrap();
    browser.value("document.querySelector('#s0-fork .zoom').click()");
    let large = browser.value(WIDTH).as_f64().unwrap();
    assert!(large > 3.0 * small, "{small} to {large}");
    let covers = browser.value("document.elementFromPoint(640, 450).closest('figure').id");
    assert_eq!(covers, "s0-fork");
    browser.value("document.querySelector('#s0-fork .back').click()");
    assert!((browser.value(WIDTH).as_f64().unwrap() - small).abs() < 1e-6);
}

#[test]
fn a_range_in_several_drawings_makes_one_page() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    // The second drawing has sizes of its own: 3x becomes 7x.
    let text = String::from_utf8(sample()).unwrap();
    fs::write(at("a.dxf"), &text).unwrap();
    let other = ["34", "36", "38", "40", "42", "44", "46"]
        .iter()
        .fold(text, |t, s| t.replace(&format!("Size: {s}"), &format!("Size: 1{s}")));
    fs::write(at("b.dxf"), other).unwrap();
    fs::write(at("sizes.csv"), "size,change\n38,10\n138,12\n").unwrap();
    fs::create_dir(at("out")).unwrap();
    let mut program = truerise();
    program.current_dir(folder.path());
    program.args([
        "alter",
        "a.dxf",
        "b.dxf",
        "--sizes",
        "sizes.csv",
        "-o",
        "out",
        "--quiet",
        "--report",
        "r.html",
    ]);
    let output = program.output().unwrap();
    assert!(output.status.success(), "{}", said(&output));
    let page = fs::read_to_string(at("r.html")).unwrap();
    let ids = attributes(&page, " id");
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(ids.len(), once.len(), "every id once");
    for part in ["a.dxf", "b.dxf", "Size 38 ", "Size 138 ", "2 sizes altered"] {
        assert!(page.contains(part), "{part}");
    }
    assert!(Path::new(&at("out/b.dxf")).exists());
}

/// The band marks what was redrawn: all of the new line that lies off the old one, and hardly more. Sampled along the paths
/// by the browser, every 3 mm.
#[test]
fn the_band_marks_what_is_redrawn() {
    const SCRIPT: &str = "(() => {
        const along = p => { const n = Math.max(2, Math.ceil(p.getTotalLength() / 3)); return [...Array(n + 1).keys()].map(i => { const q = p.getPointAtLength(p.getTotalLength() * i / n); return [q.x, q.y] }) };
        const far = (q, line) => { let least = Infinity;
            for (let i = 1; i < line.length; i++) { const [a, b] = [line[i - 1], line[i]], d = [b[0] - a[0], b[1] - a[1]], l = d[0] ** 2 + d[1] ** 2;
                const t = l ? Math.max(0, Math.min(1, ((q[0] - a[0]) * d[0] + (q[1] - a[1]) * d[1]) / l)) : 0;
                least = Math.min(least, Math.hypot(a[0] + d[0] * t - q[0], a[1] + d[1] * t - q[1])) } return least };
        const each = (q, lines) => Math.min(...lines.map(l => far(q, l)));
        return [...document.querySelectorAll('path.band')].filter(p => p.closest('section.size')).map(band => {
            const leg = band.parentNode, of = w => [...leg.querySelectorAll(`path[data-when=${w}]`)].map(along);
            const bands = band.getAttribute('d').split('M').slice(1).map(d => d.split(/[L ]/).map(Number)).map(n => n.filter((_, i) => i % 2 == 0).map((x, i) => [x, n[2 * i + 1]]));
            const old = of('before'), now = of('after'), fresh = now.flat(), all = now.concat(of('both'));
            const off = fresh.filter(q => each(q, old) > 0.2);
            const ends = bands.flatMap(b => [b[0], b[b.length - 1]]);
            return { off: off.length, missed: off.filter(q => each(q, bands) > 0.1).length,
                     ends: Math.max(...ends.map(q => each(q, old))), stray: Math.max(...bands.flat().map(q => each(q, all))) } }) })()";
    let Some(mut browser) = Browser::start() else { return };
    let mut all = runs();
    // Sew lines that are not drawn as such: worked out from the cut line, and the boundary itself.
    for (name, allowance) in [("cut-line-only", "all=12 mm"), ("sew-line-as-boundary", "all=0")] {
        let drawing = fs::read(root().join(format!("samples/dialects/{name}.dxf"))).unwrap();
        all.push(Run::of(&drawing, "size,change\n38,20 mm\n", &["--allowance", allowance]));
    }
    for (run, bands) in all.iter().zip([6, 4, 4, 4, 2, 2]) {
        browser.open(&run.page);
        let legs = browser.value(SCRIPT);
        let legs = legs.as_array().unwrap();
        assert_eq!(legs.len(), bands, "a band for each altered leg");
        for leg in legs {
            assert!(leg["off"].as_u64().unwrap() > 20, "{leg}");
            assert_eq!(leg["missed"], 0, "{leg}");
            assert!(leg["ends"].as_f64().unwrap() < 0.2 && leg["stray"].as_f64().unwrap() < 0.1, "{leg}");
        }
    }
}
