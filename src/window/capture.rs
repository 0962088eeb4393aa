//! A picture of the window as PNG (W3C Portable Network Graphics).

/// Pixels of the screen, top row first, four bytes each: red, green, blue, alpha.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// width · height · 4 bytes.
    pub rgba: Vec<u8>,
}

impl Pixels {
    /// From the graphics card's order: bottom row first, alpha without meaning. Rows are turned over and alpha set full.
    pub fn from_screen(width: u32, height: u32, bytes: &[u8]) -> Pixels {
        let row = 4 * width as usize;
        let mut rgba: Vec<u8> = bytes.chunks_exact(row.max(1)).rev().flatten().copied().collect();
        rgba.iter_mut().skip(3).step_by(4).for_each(|alpha| *alpha = 255);
        Pixels { width, height, rgba }
    }

    /// As a PNG file.
    ///
    /// # Errors
    /// The encoder's message when the sizes do not match the bytes.
    pub fn png(&self) -> Result<Vec<u8>, String> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, self.width, self.height);
        encoder.set_color(png::ColorType::Rgba);
        encoder.set_depth(png::BitDepth::Eight);
        let mut writer = encoder.write_header().map_err(|error| error.to_string())?;
        writer.write_image_data(&self.rgba).map_err(|error| error.to_string())?;
        writer.finish().map_err(|error| error.to_string())?;
        Ok(file)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_rows_are_turned_over_and_alpha_is_full() {
        // Two pixels wide, three high; the value of red tells the row from the bottom.
        let screen: Vec<u8> = (0..3_u8).flat_map(|row| [row, 7, 9, 0, row, 7, 9, 13]).collect();
        let pixels = Pixels::from_screen(2, 3, &screen);
        let file = pixels.png().expect("sizes match");
        let mut reader = png::Decoder::new(file.as_slice()).read_info().expect("a PNG");
        let mut bytes = vec![0; reader.output_buffer_size()];
        let info = reader.next_frame(&mut bytes).expect("one picture");
        assert_eq!((info.width, info.height), (2, 3));
        assert_eq!(bytes[..4], [2, 7, 9, 255]);
        assert_eq!(bytes[16..], [0, 7, 9, 255, 0, 7, 9, 255]);
    }

    #[test]
    fn verif_wrong_sizes_are_an_error() {
        assert!(Pixels { width: 4, height: 4, rgba: vec![0; 8] }.png().is_err());
    }
}
