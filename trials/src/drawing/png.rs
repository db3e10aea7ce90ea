//! A figure as a picture of dots, for slides and for programs that open no SVG.
//!
//! Built only with the feature `png`: the library that draws it doubles the time that the tool takes to build.

use crate::Error;

/// Whether this build draws them.
pub(crate) const AVAILABLE: bool = cfg!(feature = "png");

/// A figure at the size at which it is printed: 127 mm wide at 300 dots to the inch.
///
/// Lettering is in the kept font, so that the same figure gives the same bytes on every machine; letters that it lacks,
/// of other scripts than Latin, Greek and Cyrillic, are drawn as empty boxes.
///
/// # Errors
/// A build without the feature, and a figure that the library cannot draw.
#[cfg(not(feature = "png"))]
pub(crate) fn at_print_size(_svg: &str) -> Result<Vec<u8>, Error> {
    let cure = "Build it with the feature `png`.";
    Err(Error::new("figure", "this build draws no PNG", cure))
}

/// A figure at the size at which it is printed: 127 mm wide at 300 dots to the inch.
///
/// Lettering is in the kept font, so that the same figure gives the same bytes on every machine; letters that it lacks,
/// of other scripts than Latin, Greek and Cyrillic, are drawn as empty boxes.
///
/// # Errors
/// A figure that the library cannot draw.
#[cfg(feature = "png")]
pub(crate) fn at_print_size(svg: &str) -> Result<Vec<u8>, Error> {
    dots::drawn(svg).map_err(|what| {
        Error::new(
            "figure",
            format!("it could not be drawn as PNG ({what})"),
            "This is a fault of the program: please report the command and its input.",
        )
    })
}

#[cfg(feature = "png")]
mod dots {
    use std::sync::{Arc, LazyLock};

    use png::{BitDepth, ColorType, Encoder, PixelDimensions, Unit};
    use resvg::tiny_skia::{Pixmap, PremultipliedColorU8, Transform};
    use resvg::usvg::fontdb::Database;
    use resvg::usvg::{Options, Tree};

    use super::super::paper::FIGURE_MM;

    /// Dots to the millimetre at 300 to the inch.
    const PER_MM: f64 = 300.0 / 25.4;

    /// Arimo (see `font/README.md`), whose letters are as wide as those the figures are measured by.
    static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
        let mut fonts = Database::new();
        fonts.load_font_data(include_bytes!("font/Arimo-Regular.ttf").to_vec());
        fonts.load_font_data(include_bytes!("font/Arimo-Bold.ttf").to_vec());
        fonts.set_sans_serif_family("Arimo");
        Arc::new(fonts)
    });

    pub(super) fn drawn(svg: &str) -> Result<Vec<u8>, String> {
        let options = Options {
            fontdb: Arc::clone(&FONTS),
            ..Options::default()
        };
        let tree = Tree::from_str(svg, &options).map_err(|e| e.to_string())?;
        let size = tree.size();
        #[expect(clippy::cast_possible_truncation, reason = "a scale of a few times")]
        let scale = (FIGURE_MM * PER_MM / f64::from(size.width())) as f32;
        let dots = |length: f32| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a length in dots, below what a picture may have"
            )]
            let dots = (length * scale).ceil() as u32;
            dots
        };
        let mut picture =
            Pixmap::new(dots(size.width()), dots(size.height())).ok_or("it has no size")?;
        resvg::render(
            &tree,
            Transform::from_scale(scale, scale),
            &mut picture.as_mut(),
        );
        encoded(&picture).map_err(|e| e.to_string())
    }

    /// The dots as a PNG that knows its size on paper.
    fn encoded(picture: &Pixmap) -> Result<Vec<u8>, png::EncodingError> {
        // Figures have a white ground, so that no dot lets anything through.
        let dots = picture.pixels().iter();
        let colours = dots.map(PremultipliedColorU8::demultiply);
        let dots: Vec<u8> = colours
            .flat_map(|c| [c.red(), c.green(), c.blue()])
            .collect();
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, picture.width(), picture.height());
        encoder.set_color(ColorType::Rgb);
        encoder.set_depth(BitDepth::Eight);
        // 300 to the inch are 11811 to the metre (PNG specification, 3rd edition, chunk pHYs).
        encoder.set_pixel_dims(Some(PixelDimensions {
            xppu: 11811,
            yppu: 11811,
            unit: Unit::Meter,
        }));
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&dots)?;
        writer.finish()?;
        Ok(bytes)
    }
}
