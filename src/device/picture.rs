//! A picture that was taken or chosen, as the brightness of its pixels.

use js_sys::{Promise, Uint8ClampedArray};
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::File;

/// Longest side that is looked at: what a code on paper needs, and no more.
const LONGEST: f64 = 1200.0;

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_name = createImageBitmap, catch)]
    fn bitmap_of(file: &File) -> Result<Promise, JsValue>;

    type Bitmap;
    #[wasm_bindgen(method, getter)]
    fn width(this: &Bitmap) -> f64;
    #[wasm_bindgen(method, getter)]
    fn height(this: &Bitmap) -> f64;

    type Canvas;
    #[wasm_bindgen(method, setter)]
    fn set_width(this: &Canvas, width: f64);
    #[wasm_bindgen(method, setter)]
    fn set_height(this: &Canvas, height: f64);
    #[wasm_bindgen(method, js_name = getContext)]
    fn pencil(this: &Canvas, kind: &str) -> Option<Pencil>;

    type Pencil;
    #[wasm_bindgen(method, js_name = drawImage, catch)]
    fn draw(this: &Pencil, image: &Bitmap, x: f64, y: f64, w: f64, h: f64) -> Result<(), JsValue>;
    #[wasm_bindgen(method, js_name = getImageData, catch)]
    fn pixels(this: &Pencil, x: f64, y: f64, w: f64, h: f64) -> Result<Pixels, JsValue>;

    type Pixels;
    #[wasm_bindgen(method, getter)]
    fn data(this: &Pixels) -> Uint8ClampedArray;
}

/// The brightness of a picture row by row, with its width and height; large ones
/// are made smaller.
///
/// # Errors
/// A sentence when the browser can't read it.
pub async fn brightness(file: File) -> Result<(Vec<u8>, usize, usize), String> {
    measured(&file).await.map_err(|error| {
        format!("This is no picture ({}). Choose another.", super::words_of(&error))
    })
}

async fn measured(file: &File) -> Result<(Vec<u8>, usize, usize), JsValue> {
    let missing = || JsValue::from_str("nothing to draw on");
    let bitmap: Bitmap = JsFuture::from(bitmap_of(file)?).await?.unchecked_into();
    let shrink = (LONGEST / bitmap.width().max(bitmap.height())).min(1.0);
    let (width, height) = ((bitmap.width() * shrink).floor(), (bitmap.height() * shrink).floor());
    let document = super::window().and_then(|window| window.document()).ok_or_else(missing)?;
    let canvas: Canvas = document.create_element("canvas")?.unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    let pencil = canvas.pencil("2d").ok_or_else(missing)?;
    pencil.draw(&bitmap, 0.0, 0.0, width, height)?;
    let colours = pencil.pixels(0.0, 0.0, width, height)?.data().to_vec();
    let luma = |pixel: &[u8]| match *pixel {
        [red, green, blue, _] => {
            ((u32::from(red) * 2 + u32::from(green) * 5 + u32::from(blue)) / 8) as u8
        }
        _ => 0,
    };
    Ok((colours.chunks(4).map(luma).collect(), width as usize, height as usize))
}
