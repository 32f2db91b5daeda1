//! Photographs: pictures made small, the live camera, addresses for the page.
//!
//! A picture is turned the right way up, made small and packed as JPEG before its
//! record is begun, since a transaction of the store waits for nothing else. What
//! the camera's file says besides (place, device) is left behind by that.

use crate::job::album::{Album, Entry, NotAnAlbum, TAIL, checksum};
use crate::job::event::Id;
use crate::job::record::kept_size;
use js_sys::{Array, JSON, Uint8Array};
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, Url};

/// What pictures are packed as.
const JPEG: &str = "image/jpeg";
/// How they are packed: 0.82 shows no blocks at a metre (common practice).
const PACKING: &str = r#"{"type":"image/jpeg","quality":0.82}"#;
/// What is asked of the camera: the one on the back, sharper than what is kept.
const CAMERA: &str = r#"{"video":{"facingMode":"environment","width":{"ideal":1920}}}"#;

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(catch, js_name = createImageBitmap)]
    fn decode(source: &JsValue) -> Result<js_sys::Promise, JsValue>;

    type Bitmap;
    #[wasm_bindgen(method, getter)]
    fn width(this: &Bitmap) -> u32;
    #[wasm_bindgen(method, getter)]
    fn height(this: &Bitmap) -> u32;

    #[wasm_bindgen(js_name = OffscreenCanvas)]
    type Canvas;
    #[wasm_bindgen(constructor, catch, js_class = "OffscreenCanvas")]
    fn new(width: u32, height: u32) -> Result<Canvas, JsValue>;
    #[wasm_bindgen(method, catch, js_name = getContext)]
    fn brush(this: &Canvas, kind: &str) -> Result<Brush, JsValue>;
    #[wasm_bindgen(method, catch, js_name = convertToBlob)]
    fn pack(this: &Canvas, how: &JsValue) -> Result<js_sys::Promise, JsValue>;

    type Brush;
    #[wasm_bindgen(method, setter, js_name = imageSmoothingQuality)]
    fn smooth(this: &Brush, how: &str);
    #[wasm_bindgen(method, catch, js_name = drawImage)]
    fn draw(
        this: &Brush,
        picture: &Bitmap,
        x: u32,
        y: u32,
        width: u32,
        height: u32,
    ) -> Result<(), JsValue>;

    #[wasm_bindgen(thread_local_v2, js_name = navigator)]
    static NAVIGATOR: Navigator;
    type Navigator;
    #[wasm_bindgen(method, getter, js_name = mediaDevices)]
    fn devices(this: &Navigator) -> Option<Devices>;
    type Devices;
    #[wasm_bindgen(method, catch, js_name = getUserMedia)]
    fn camera(this: &Devices, which: &JsValue) -> Result<js_sys::Promise, JsValue>;

    /// What a camera sends.
    type Stream;
    #[wasm_bindgen(method, js_name = getTracks)]
    fn tracks(this: &Stream) -> Array;
    type Track;
    #[wasm_bindgen(method)]
    fn stop(this: &Track);
    type Screen;
    #[wasm_bindgen(method, setter, js_name = srcObject)]
    fn show(this: &Screen, stream: &Stream);

    type Image;
    #[wasm_bindgen(method, getter, js_name = src)]
    fn address(this: &Image) -> String;

    type Touch;
    #[wasm_bindgen(method, getter, js_name = offsetX)]
    fn x(this: &Touch) -> f64;
    #[wasm_bindgen(method, getter, js_name = offsetY)]
    fn y(this: &Touch) -> f64;
}

/// Makes a picture small: of a file, or of what a camera shows just now.
///
/// # Errors
/// A sentence when the browser can't.
pub async fn make_small(source: JsValue) -> Result<(Blob, [u32; 2]), String> {
    let small = async {
        let picture: Bitmap = JsFuture::from(decode(&source)?).await?.unchecked_into();
        let size = kept_size([picture.width(), picture.height()]);
        let canvas = Canvas::new(size[0], size[1])?;
        let brush = canvas.brush("2d")?;
        brush.smooth("high");
        brush.draw(&picture, 0, 0, size[0], size[1])?;
        let blob = JsFuture::from(canvas.pack(&JSON::parse(PACKING)?)?).await?;
        Ok::<_, JsValue>((blob.unchecked_into(), size))
    };
    small.await.map_err(|error| {
        format!("That is no picture that this browser can read ({}).", super::words_of(&error))
    })
}

/// A camera that is on, for as long as this is kept.
pub struct Camera(Stream);

impl Camera {
    /// Turns it on, and shows what it sees in the page's element of this id. None
    /// where there is no camera, or it is not allowed.
    pub async fn start(place: &str) -> Option<Self> {
        let devices = NAVIGATOR.with(Navigator::devices)?;
        let asked = devices.camera(&JSON::parse(CAMERA).ok()?).ok()?;
        let camera = Self(JsFuture::from(asked).await.ok()?.unchecked_into());
        element(place)?.unchecked_into::<Screen>().show(&camera.0);
        Some(camera)
    }
}

impl Drop for Camera {
    fn drop(&mut self) {
        for track in self.0.tracks().iter() {
            track.unchecked_into::<Track>().stop();
        }
    }
}

/// The page's element of this id.
pub fn element(id: &str) -> Option<JsValue> {
    super::window()?.document()?.get_element_by_id(id).map(JsValue::from)
}

/// Where in its element a finger is, as parts of width and height.
pub fn touched(event: &web_sys::Event) -> Option<[f64; 2]> {
    let element = event.target()?.unchecked_into::<web_sys::Element>();
    let touch = event.unchecked_ref::<Touch>();
    let part = |at: f64, whole: i32| at / f64::from(whole.max(1));
    Some([part(touch.x(), element.client_width()), part(touch.y(), element.client_height())])
}

/// An address under which the page shows a picture, until it is loaded.
pub fn address(picture: &Blob) -> Option<String> {
    Url::create_object_url_with_blob(picture).ok()
}

/// Gives back the address of a picture that was loaded; it stays in the page.
pub fn loaded(event: &web_sys::Event) {
    let address = event.target().map(|image| image.unchecked_into::<Image>().address());
    // One that can't be given back goes with the page.
    let _ = Url::revoke_object_url(&address.unwrap_or_default());
}

/// All of a blob's bytes.
async fn bytes(blob: &Blob) -> Result<Vec<u8>, String> {
    let buffer = JsFuture::from(blob.array_buffer())
        .await
        .map_err(|error| format!("The file could not be read ({}).", super::words_of(&error)))?;
    Ok(Uint8Array::new(&buffer).to_vec())
}

/// A part of a file, as a picture.
fn part(file: &File, from: f64, to: f64) -> Result<Blob, String> {
    file.slice_with_f64_and_f64_and_content_type(from, to, JPEG)
        .map_err(|error| super::words_of(&error))
}

/// Pictures as one file, by the names that their files are to have.
///
/// # Errors
/// A sentence when they can't be read or are too many.
pub async fn album(pictures: &[(Id, Blob)], name: &dyn Fn(Id) -> String) -> Result<Blob, String> {
    let mut album = Album::default();
    let parts = Array::new();
    for (id, picture) in pictures {
        let bytes = bytes(picture).await?;
        let before = album.before(&name(*id), &bytes).map_err(|error| error.to_string())?;
        parts.push(&Uint8Array::from(&before[..]));
        parts.push(picture);
    }
    parts.push(&Uint8Array::from(&album.end()[..]));
    let kind = BlobPropertyBag::new();
    kind.set_type("application/zip");
    Blob::new_with_blob_sequence_and_options(&parts, &kind).map_err(|error| super::words_of(&error))
}

/// The pictures of such a file that are wanted, all or none.
///
/// # Errors
/// A sentence when the file is not what it was when it was saved.
pub async fn pictures_in(
    file: &File,
    wanted: &dyn Fn(Id) -> bool,
) -> Result<(Vec<(Id, Blob)>, usize), String> {
    let size = file.size();
    let tail = bytes(&part(file, (size - f64::from(TAIL)).max(0.0), size)?).await?;
    let damaged = || NotAnAlbum::Damaged.to_string();
    let entries = crate::job::album::read(&tail, size as u32).ok_or_else(damaged)?;
    let (all, mut found) = (entries.len(), Vec::new());
    for Entry { id, from, to, checksum: right } in entries {
        if wanted(id) {
            let picture = part(file, from.into(), to.into())?;
            if checksum(&bytes(&picture).await?) != right {
                return Err(damaged());
            }
            found.push((id, picture));
        }
    }
    Ok((found, all))
}
