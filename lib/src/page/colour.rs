//! A colour of print and screen.

/// An opaque colour, sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Colour {
    /// Black.
    pub const BLACK: Self = Self::rgb(0);
    /// White.
    pub const WHITE: Self = Self::rgb(0xff_ff_ff);

    /// A colour as `0xRRGGBB`.
    #[must_use]
    pub const fn rgb(number: u32) -> Self {
        let [_, red, green, blue] = number.to_be_bytes();
        Self { red, green, blue }
    }

    /// As `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }

    /// Relative luminance, 0 to 1 (Web Content Accessibility Guidelines 2.2, *relative luminance*).
    #[must_use]
    pub fn luminance(self) -> f64 {
        let [r, g, b] = [self.red, self.green, self.blue].map(|part| {
            let s = f64::from(part) / 255.0;
            if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// Contrast with another, 1 to 21 (Web Content Accessibility Guidelines 2.2, *contrast ratio*).
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_written_and_compared() {
        let c = Colour::rgb(0x0a_bc_ff);
        assert_eq!((c.red, c.green, c.blue, c.hex().as_str()), (0x0a, 0xbc, 0xff, "#0abcff"));
        assert!((Colour::BLACK.contrast(Colour::WHITE) - 21.0).abs() < 1e-9);
        // The guidelines' well-known grey that just passes 4.5 on white.
        assert!((Colour::rgb(0x76_76_76).contrast(Colour::WHITE) - 4.54).abs() < 0.005);
    }
}
