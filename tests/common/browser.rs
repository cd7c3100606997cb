//! A headless Chromium, told what to do through its own debugging pipe (the protocol of its developer tools: JSON messages, each ended by
//! a zero byte). An outside judge of pages: its parser, its layout, its path lengths.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

const CHROMIUM: &str = "/usr/bin/chromium";

/// What is wider than the window, in the page's own script.
pub const STICKS_OUT: &str = "[...document.querySelectorAll('body *')].filter(e => !e.closest('svg') || e.tagName == 'svg') \
    .filter(e => !e.closest('.wide') && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.outerHTML.slice(0, 80)).slice(0, 5)";

/// A running browser with one page.
pub struct Browser {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
    session: Option<String>,
    last: u64,
    /// What happened meanwhile.
    pub events: Vec<Value>,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// Starts a browser; `None` with a message where there is none, but never on a build server (`CI` set), where a
    /// skipped check would go unseen.
    pub fn start() -> Option<Browser> {
        if !Path::new(CHROMIUM).exists() {
            assert!(std::env::var_os("CI").is_none(), "install chromium");
            super::skipped(&format!("there is no {CHROMIUM}"));
            return None;
        }
        let profile = tempfile::tempdir().unwrap();
        // The pipe is on the descriptors 3 and 4 of the browser, which a shell makes of its own 0 and 1.
        let mut child = Command::new("sh")
            .args(["-c", r#"exec "$0" "$@" 3<&0 4>&1 </dev/null >/dev/null 2>/dev/null"#, CHROMIUM])
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
            .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
            .arg("--hide-scrollbars")
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .args(["--remote-debugging-pipe", "about:blank"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (to, from) = (child.stdin.take().unwrap(), BufReader::new(child.stdout.take().unwrap()));
        let mut browser =
            Browser { child, to, from, session: None, last: 0, events: Vec::new(), _profile: profile };
        let target = browser.call("Target.createTarget", &json!({ "url": "about:blank" }));
        let attached = browser.call(
            "Target.attachToTarget",
            &json!({ "targetId": target["targetId"].clone(), "flatten": true }),
        );
        browser.session = Some(attached["sessionId"].as_str().unwrap().to_owned());
        for domain in ["Page", "Network", "Log", "Runtime"] {
            browser.call(&format!("{domain}.enable"), &json!({}));
        }
        Some(browser)
    }

    /// Calls a method and gives its result.
    pub fn call(&mut self, method: &str, params: &Value) -> Value {
        self.last += 1;
        let mut message = json!({ "id": self.last, "method": method, "params": params });
        if let Some(session) = &self.session {
            message["sessionId"] = json!(session);
        }
        self.to.write_all(format!("{message}\0").as_bytes()).unwrap();
        self.to.flush().unwrap();
        loop {
            let mut answer = self.receive();
            if answer["id"] == json!(self.last) {
                assert!(answer.get("error").is_none(), "{method}: {answer}");
                return answer["result"].take();
            }
            self.events.push(answer);
        }
    }

    fn receive(&mut self) -> Value {
        let mut message = Vec::new();
        self.from.read_until(0, &mut message).unwrap();
        assert_eq!(message.pop(), Some(0), "the browser went away");
        serde_json::from_slice(&message).unwrap()
    }

    /// The window's width in CSS pixels, and whether the reader prefers dark.
    pub fn window(&mut self, width: u32, dark: bool) {
        let metrics = json!({ "width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 500 });
        self.call("Emulation.setDeviceMetricsOverride", &metrics);
        self.media("", dark);
    }

    /// What the page is shown on: `print`, or nothing for the screen.
    pub fn media(&mut self, media: &str, dark: bool) {
        let scheme = if dark { "dark" } else { "light" };
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        self.call("Emulation.setEmulatedMedia", &json!({ "media": media, "features": features }));
    }

    /// Opens a file and waits until it is there.
    pub fn open(&mut self, path: &Path) {
        self.events.clear();
        self.call("Page.navigate", &json!({ "url": format!("file://{}", path.display()) }));
        while !self.events.iter().any(|e| e["method"] == "Page.loadEventFired") {
            let event = self.receive();
            self.events.push(event);
        }
    }

    /// The value of a script that the test runs in the page.
    pub fn value(&mut self, script: &str) -> Value {
        let answer = self.call("Runtime.evaluate", &json!({ "expression": script, "returnByValue": true }));
        assert!(answer.get("exceptionDetails").is_none(), "{answer}");
        answer["result"]["value"].clone()
    }

    /// Prints the page on paper of this size, in inches.
    pub fn print(&mut self, wide: f64, high: f64) -> Vec<u8> {
        let answer = self.call(
            "Page.printToPDF",
            &json!({ "paperWidth": wide, "paperHeight": high, "printBackground": true }),
        );
        base64(answer["data"].as_str().unwrap())
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Decodes base 64 (RFC 4648, section 4).
fn base64(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => u32::from(c - b'A'),
        b'a'..=b'z' => u32::from(c - b'a') + 26,
        b'0'..=b'9' => u32::from(c - b'0') + 52,
        b'+' => 62,
        _ => 63,
    };
    let digits: Vec<u32> = text.bytes().filter(|c| *c != b'=').map(value).collect();
    let mut bytes = Vec::new();
    for four in digits.chunks(4) {
        let bits = four.iter().fold(0, |bits, digit| bits << 6 | digit) << (6 * (4 - four.len()));
        bytes.extend_from_slice(&bits.to_be_bytes()[1..four.len()]);
    }
    bytes
}
