//! Bytes as text of 91 letters, two for each 13 bits: 8 % shorter than base64, and as plain to read back.

/// The letters: printable ASCII but for those that mean something in markup.
fn letters() -> impl Iterator<Item = char> {
    (33..127_u8).map(char::from).filter(|letter| !matches!(letter, '&' | '<' | '>'))
}

/// Bits of two letters.
const BITS: u32 = 13;

/// Bytes as text: lowest bits first, of each pair the lower letter first; what is over is filled with zeros.
pub(super) fn lettered(bytes: &[u8]) -> String {
    let all: Vec<char> = letters().collect();
    let mut text = String::with_capacity(bytes.len() * 16 / 13 + 2);
    let (mut held, mut bits) = (0_u32, 0);
    let mut pair = |held: u32| {
        let value = held as usize & ((1 << BITS) - 1);
        text.push(all[value % all.len()]);
        text.push(all[value / all.len()]);
    };
    for byte in bytes {
        held |= u32::from(*byte) << bits;
        bits += 8;
        if bits >= BITS {
            pair(held);
            held >>= BITS;
            bits -= BITS;
        }
    }
    if bits > 0 {
        pair(held);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read back bit by bit, as no program would.
    fn bytes(text: &str, length: usize) -> Vec<u8> {
        let all: Vec<char> = letters().collect();
        let value = |letter: char| all.iter().position(|own| *own == letter).expect("a letter");
        let letters: Vec<char> = text.chars().collect();
        let mut bits: Vec<bool> = Vec::new();
        for pair in letters.chunks(2) {
            let value = value(pair[0]) + all.len() * value(pair[1]);
            bits.extend((0..BITS).map(|bit| value >> bit & 1 == 1));
        }
        let byte = |bits: &[bool]| bits.iter().rev().fold(0, |sum, bit| sum << 1 | u8::from(*bit));
        bits.chunks(8).map(byte).take(length).collect()
    }

    #[test]
    fn verif_bytes_come_back_whatever_they_are_and_however_many() {
        assert_eq!(letters().count(), 91);
        assert!(letters().count().pow(2) >= 1 << BITS);
        let mut state = 7_u32;
        for length in (0..60).chain([1000]) {
            let own: Vec<u8> = (0..length)
                .map(|_| {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    (state >> 24) as u8
                })
                .collect();
            for own in [own, vec![0; length], vec![255; length]] {
                let text = lettered(&own);
                assert_eq!(bytes(&text, length), own);
                assert!(text.len() <= 2 * (8 * length).div_ceil(13), "{length}");
                assert!(!text.contains(['<', '>', '&', ' ']));
            }
        }
    }
}
