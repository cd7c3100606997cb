//! Changes to a drawing that keep it a drawing: most bytes changed blindly only make a text that is refused early.

use libfuzzer_sys::fuzzer_mutate;

/// Changes one value, copies or takes out some pairs; now and then libFuzzer's own changes.
pub fn drawing(data: &mut [u8], size: usize, max_size: usize, seed: u32) -> usize {
    let mut dice = Dice(u64::from(seed) | 1 << 40);
    if dice.below(4) == 0 {
        return fuzzer_mutate(data, size, max_size);
    }
    let mut lines: Vec<Vec<u8>> = data[..size].split(|&b| b == b'\n').map(<[u8]>::to_vec).collect();
    for _ in 0..=dice.below(3) {
        step(&mut lines, &mut dice);
    }
    let mut out = lines.join(&b'\n');
    out.truncate(max_size);
    data[..out.len()].copy_from_slice(&out);
    out.len()
}

fn step(lines: &mut Vec<Vec<u8>>, dice: &mut Dice) {
    const WORDS: [&[u8]; 18] = [
        b"0",
        b"-0.0",
        b"1e-9",
        b"1e6",
        b"-999999.9",
        b"1e308",
        b"nan",
        b"0.5",
        b"1",
        b"10",
        b"11",
        b"42",
        b"LINE",
        b"ARC",
        b"SPLINE",
        b"SEQEND",
        b"Size: 38",
        b"14",
    ];
    let pairs = lines.len() / 2;
    if pairs == 0 {
        return;
    }
    // Pairs begin on even lines unless blank lines or damage have shifted them.
    let at = 2 * dice.below(pairs);
    let run = 2 * (1 + dice.below(12));
    match dice.below(8) {
        // A number becomes another: near by, far off, or the same as one elsewhere.
        0..=3 => {
            let Some(value) = number(&lines[at + 1]) else { return };
            let by = [1e-6, 1e-3, 0.05, 1.0, 30.0][dice.below(5)] * (dice.below(2001) as f64 / 1000.0 - 1.0);
            lines[at + 1] = match dice.below(4) {
                0 => lines[2 * dice.below(pairs) + 1].clone(),
                1 => format!("{}", value * (1.0 + by)).into_bytes(),
                _ => format!("{:.6}", value + by).into_bytes(),
            };
        }
        4 => lines[at + dice.below(2)] = WORDS[dice.below(WORDS.len())].to_vec(),
        5 => drop(lines.drain(at..(at + run).min(lines.len()))),
        6 => {
            let copy = lines[at..(at + run).min(lines.len())].to_vec();
            let to = 2 * dice.below(pairs);
            lines.splice(to..to, copy);
        }
        _ => {
            // An entity elsewhere.
            let Some(end) = (at + 2..lines.len()).step_by(2).find(|&i| lines[i].trim_ascii() == b"0") else {
                return;
            };
            let cut: Vec<Vec<u8>> = lines.drain(at..end).collect();
            let to = 2 * dice.below(lines.len() / 2 + 1);
            lines.splice(to.min(lines.len())..to.min(lines.len()), cut);
        }
    }
}

fn number(line: &[u8]) -> Option<f64> {
    std::str::from_utf8(line.trim_ascii()).ok()?.parse().ok().filter(|v: &f64| v.is_finite())
}

/// A generator of numbers, xorshift64*; the same for the same seed, as libFuzzer asks.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) as usize % n
    }
}
