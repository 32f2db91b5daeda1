//! Saving a file to the phone and reading one from it.

use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, HtmlAnchorElement, HtmlInputElement, Url};

/// Largest file read, in bytes: far above any journal, far below a phone's memory.
const LARGEST: f64 = 64.0 * 1024.0 * 1024.0;

/// Saves text as a file.
///
/// # Errors
/// A sentence when the browser refuses.
pub fn save(name: &str, mime: &str, text: &str) -> Result<(), String> {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let bag = BlobPropertyBag::new();
    bag.set_type(mime);
    let blob = Blob::new_with_str_sequence_and_options(&parts, &bag);
    save_blob(name, blob)
}

/// Saves what was put together as a file.
///
/// # Errors
/// A sentence when the browser refuses.
pub fn save_blob(name: &str, blob: Result<Blob, JsValue>) -> Result<(), String> {
    blob.and_then(|blob| offer(name, &blob))
        .map_err(|error| format!("The file could not be saved ({}).", super::words_of(&error)))
}

fn offer(name: &str, blob: &Blob) -> Result<(), JsValue> {
    let missing = || JsValue::from_str("no page");
    let document = super::window().and_then(|w| w.document()).ok_or_else(missing)?;
    let address = Url::create_object_url_with_blob(blob)?;
    let link: HtmlAnchorElement = document.create_element("a")?.unchecked_into();
    link.set_href(&address);
    link.set_download(name);
    link.click();
    // The browser holds on to the content of a started download.
    Url::revoke_object_url(&address)
}

/// The file that was picked in a file input.
pub fn picked(event: &web_sys::Event) -> Option<File> {
    let input: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let file = input.files()?.get(0);
    // Picking the same file again must count as a change.
    input.set_value("");
    file
}

/// Reads a file as text.
///
/// # Errors
/// A sentence when it is too large or can't be read.
pub async fn read(file: File) -> Result<String, String> {
    if file.size() > LARGEST {
        return Err("This file is too large to be a backup. Nothing was taken from it.".into());
    }
    let text = JsFuture::from(file.text())
        .await
        .map_err(|error| format!("The file could not be read ({}).", super::words_of(&error)))?;
    Ok(text.as_string().unwrap_or_default())
}
