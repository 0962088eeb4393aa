//! Which sources an engine was made of, and how that is read from a built one.

/// What an engine of these sources carries: version, and a number over the sources.
pub const STAMP: &str = concat!(env!("CARGO_PKG_VERSION"), " ", env!("BRUSHARM_SOURCES"));

/// Name of the section in which an engine carries its stamp.
const SECTION: &[u8] = b"brusharm.stamp";

/// The stamp of a built engine (WebAssembly Core Specification 2.0, 5.5: magic, version, sections of an id and a size, custom sections named);
/// `None` when this is no such module or carries none.
pub fn stamp_of(module: &[u8]) -> Option<String> {
    let mut rest = module.strip_prefix(b"\0asm\x01\0\0\0")?;
    while let Some((&id, after)) = rest.split_first() {
        let (size, after) = number(after)?;
        let (body, next) = after.split_at_checked(size)?;
        if id == 0 {
            let (length, named) = number(body)?;
            let (name, content) = named.split_at_checked(length)?;
            if name == SECTION {
                return String::from_utf8(content.to_vec()).ok();
            }
        }
        rest = next;
    }
    None
}

/// An unsigned number in seven bits a byte, lowest first (LEB128, same specification, 5.2.2), up to 32 bits.
fn number(bytes: &[u8]) -> Option<(usize, &[u8])> {
    let mut value = 0_u64;
    for (place, byte) in bytes.iter().enumerate().take(5) {
        value |= u64::from(byte & 0x7f) << (7 * place);
        if byte & 0x80 == 0 {
            return Some((usize::try_from(value).ok()?, &bytes[place + 1..]));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn section(id: u8, body: &[u8]) -> Vec<u8> {
        let mut all = vec![id];
        // In two bytes, as tools write sizes they fill in later.
        all.extend([(body.len() & 0x7f) as u8 | 0x80, (body.len() >> 7) as u8]);
        all.extend(body);
        all
    }

    fn named(name: &[u8], content: &[u8]) -> Vec<u8> {
        section(0, &[&[name.len() as u8], name, content].concat())
    }

    #[test]
    fn verif_the_stamp_is_read_from_among_other_sections() {
        let start = b"\0asm\x01\0\0\0".to_vec();
        let long = vec![7; 300];
        let parts = [
            start.clone(),
            section(1, &long),
            named(b"name", b"brusharm.stamp"),
            named(SECTION, STAMP.as_bytes()),
            section(3, b"x"),
        ];
        assert_eq!(stamp_of(&parts.concat()).as_deref(), Some(STAMP));
        assert_eq!(stamp_of(&[start.clone(), section(1, &long)].concat()), None);
        let whole = parts.concat();
        for end in 0..whole.len() - 8 {
            // A module cut short is none, wherever it is cut; it never panics.
            let found = stamp_of(&whole[..end]);
            assert!(found.is_none() || found.as_deref() == Some(STAMP), "{end}");
        }
        assert_eq!(stamp_of(b"<html>"), None);
        assert!(STAMP.len() > 20 && STAMP.starts_with(env!("CARGO_PKG_VERSION")), "{STAMP}");
    }
}
