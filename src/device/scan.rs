//! A helper beside the page: a worker with a second instance of the app's module,
//! which reads a scan and answers about it (`job::scan::desk`).
//!
//! It has a memory of its own. A scan that is too much for the phone ends the
//! helper and not the app, and all that it took is given back when it is let go.
//! The module comes from the page, compiled already, so that nothing is fetched.
//! The file goes as a reference; its bytes never pass through the page.

use crate::job::scan::{Look, desk::Desk};
use js_sys::{Array, Float64Array, Reflect, Uint8Array};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{File, MessageEvent, Worker, WorkerOptions, WorkerType};

/// Largest file read, in bytes: three million triangles in the formats that scanning
/// apps write, and what a phone can hold.
pub const LARGEST: f64 = 256.0 * 1024.0 * 1024.0;
/// How much of a file is asked for at a time, in bytes: the browser holds no more of
/// it besides.
const SLICE: usize = 8 << 20;
/// Where the page names the helper's script, which has its content in its name.
const SCRIPT: &str = "scan-script";

/// What a helper says.
pub enum Heard {
    /// It is ready for a file.
    Ready,
    /// What is wrong with the file.
    Refused(String),
    /// Numbers, and the address of a picture.
    Told(Vec<f64>, String),
    /// It is gone.
    Ended,
}

/// A helper, for as long as this is kept.
pub struct Helper {
    worker: Worker,
    _heard: Closure<dyn FnMut(MessageEvent)>,
    _ended: Closure<dyn FnMut(web_sys::Event)>,
}

impl Helper {
    /// Starts one; `heard` is called with all that it says.
    ///
    /// # Errors
    /// A sentence where the browser has no such helpers.
    pub fn start(heard: impl FnMut(Heard) + 'static) -> Result<Helper, String> {
        Self::begin(Rc::new(RefCell::new(heard)))
            .ok_or_else(|| "This browser can't work on a scan. Try a newer one.".to_owned())
    }

    fn begin(heard: Rc<RefCell<dyn FnMut(Heard)>>) -> Option<Helper> {
        let place = super::window()?.document()?.get_element_by_id(SCRIPT)?;
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(&place.get_attribute("href")?, &options).ok()?;
        let ended = heard.clone();
        let heard = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            heard.borrow_mut()(understood(&event.data()));
        });
        let ended = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
            // Said in the app's own words, and not to the page as well.
            event.prevent_default();
            ended.borrow_mut()(Heard::Ended);
        });
        worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
        worker.set_onerror(Some(ended.as_ref().unchecked_ref()));
        worker.post_message(&wasm_bindgen::module()).ok()?;
        Some(Helper { worker, _heard: heard, _ended: ended })
    }

    /// Gives it a file, once it is ready.
    pub fn open(&self, file: &File) {
        self.tell(file);
    }

    /// Asks it about the file.
    pub fn look(&self, look: &Look) {
        self.tell(&Float64Array::from(look.write().as_slice()));
    }

    fn tell(&self, what: &JsValue) {
        // Files and numbers can always be posted.
        let _ = self.worker.post_message(what);
    }
}

impl Drop for Helper {
    fn drop(&mut self) {
        self.worker.set_onmessage(None);
        self.worker.set_onerror(None);
        self.worker.terminate();
    }
}

/// What a helper's message means.
fn understood(data: &JsValue) -> Heard {
    if let Some(sentence) = data.as_string() {
        return Heard::Refused(sentence);
    }
    if data.as_bool() == Some(true) {
        return Heard::Ready;
    }
    let Some(told) = data.dyn_ref::<Array>() else { return Heard::Ended };
    let numbers = told.get(0).unchecked_into::<Float64Array>().to_vec();
    Heard::Told(numbers, told.get(1).as_string().unwrap_or_default())
}

// ---- In the helper ----

#[wasm_bindgen]
extern "C" {
    /// Tells the page, from inside a helper.
    #[wasm_bindgen(js_name = postMessage)]
    fn tell_page(what: &JsValue);
}

/// Whether this instance is the page's, and not a helper's.
pub fn in_page() -> bool {
    super::window().is_some()
}

/// Serves the page from inside a helper.
pub fn serve() {
    let desk = Rc::new(RefCell::new(None::<Desk>));
    let hear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        match event.data().dyn_into::<Float64Array>() {
            Ok(numbers) => {
                if let (Some(desk), Some(look)) =
                    (desk.borrow_mut().as_mut(), Look::read(&numbers.to_vec()))
                {
                    let (numbers, picture) = desk.look(&look);
                    answer(&numbers, &picture);
                }
            }
            Err(file) => spawn_local(open(desk.clone(), file.unchecked_into())),
        }
    });
    // A worker's global object takes any property.
    let _ = Reflect::set(&js_sys::global(), &"onmessage".into(), hear.as_ref());
    hear.forget();
    tell_page(&JsValue::TRUE);
}

async fn open(desk: Rc<RefCell<Option<Desk>>>, file: File) {
    let opened = match read(&file).await {
        Ok(bytes) => Desk::open(bytes).map_err(|error| error.to_string()),
        Err(sentence) => Err(sentence),
    };
    match opened {
        Ok((mut opened, numbers)) => {
            let (_, picture) = opened.look(&Look::START);
            answer(&numbers, &picture);
            *desk.borrow_mut() = Some(opened);
        }
        Err(sentence) => tell_page(&sentence.into()),
    }
}

fn answer(numbers: &[f64], picture: &str) {
    let told = Array::of2(&Float64Array::from(numbers), &picture.into());
    tell_page(&told);
}

/// Reads a file's bytes, a slice at a time.
async fn read(file: &File) -> Result<Vec<u8>, String> {
    let length = file.size() as usize;
    let mut bytes = Vec::new();
    bytes
        .try_reserve_exact(length)
        .map_err(|_| "This phone has no room for such a file. Save it with fewer triangles.")?;
    bytes.resize(length, 0);
    for (index, room) in bytes.chunks_mut(SLICE).enumerate() {
        let from = (index * SLICE) as f64;
        let slice = file.slice_with_f64_and_f64(from, from + room.len() as f64);
        let read = async { JsFuture::from(slice?.array_buffer()).await };
        let buffer = read.await.map_err(|error| {
            format!("The file could not be read ({}).", super::words_of(&error))
        })?;
        let slice = Uint8Array::new(&buffer);
        if slice.length() as usize != room.len() {
            return Err("The file changed while it was read. Open it again.".into());
        }
        slice.copy_to(room);
    }
    Ok(bytes)
}
