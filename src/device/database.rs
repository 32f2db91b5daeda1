//! IndexedDB, as far as the records need it: each request as a future.
//!
//! Bound here rather than by a crate for it: the records need a dozen calls, and
//! this way a write can ask for strict durability.

use js_sys::{Array, Function, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

#[wasm_bindgen]
extern "C" {
    type Factory;
    #[wasm_bindgen(method, catch)]
    fn open(this: &Factory, name: &str, version: u32) -> Result<Request, JsValue>;

    /// A request or a transaction that is under way.
    #[derive(Clone)]
    type Request;
    #[wasm_bindgen(method, setter)]
    fn set_onupgradeneeded(this: &Request, act: &JsValue);
    #[wasm_bindgen(method, setter)]
    fn set_onsuccess(this: &Request, act: &Function);
    #[wasm_bindgen(method, setter)]
    fn set_oncomplete(this: &Request, act: &Function);
    #[wasm_bindgen(method, setter)]
    fn set_onerror(this: &Request, act: &Function);
    #[wasm_bindgen(method, setter)]
    fn set_onabort(this: &Request, act: &Function);
    #[wasm_bindgen(method, setter)]
    fn set_onblocked(this: &Request, act: &Function);
    #[wasm_bindgen(method, getter)]
    fn result(this: &Request) -> JsValue;
    #[wasm_bindgen(method, getter, catch)]
    fn error(this: &Request) -> Result<JsValue, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn abort(this: &Request) -> Result<(), JsValue>;
    #[wasm_bindgen(method, catch, js_name = objectStore)]
    fn table(this: &Request, name: &str) -> Result<Table, JsValue>;

    /// A database that is open.
    pub type Database;
    #[wasm_bindgen(method, js_name = createObjectStore)]
    fn create(this: &Database, name: &str, options: &Object);
    #[wasm_bindgen(method, getter, js_name = objectStoreNames)]
    fn names(this: &Database) -> Names;
    #[wasm_bindgen(method, setter)]
    fn set_onversionchange(this: &Database, act: &JsValue);
    #[wasm_bindgen(method, catch, js_name = transaction)]
    fn begin(
        this: &Database,
        tables: &Array,
        mode: &str,
        options: &Object,
    ) -> Result<Request, JsValue>;
    /// Closes it, once what is under way is done.
    #[wasm_bindgen(method)]
    pub fn close(this: &Database);

    type Names;
    #[wasm_bindgen(method)]
    fn contains(this: &Names, name: &str) -> bool;

    type Table;
    #[wasm_bindgen(method, catch)]
    fn add(this: &Table, value: &JsValue) -> Result<Request, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn delete(this: &Table, key: &JsValue) -> Result<Request, JsValue>;
    #[wasm_bindgen(method, catch, js_name = getAll)]
    fn all(this: &Table, key: &JsValue) -> Result<Request, JsValue>;
}

/// What changes in a table: values that come in, and the keys of those that go.
pub type Change = (&'static str, Vec<JsValue>, Vec<JsValue>);

/// A table with the option that says where its keys come from.
pub type Shape = (&'static str, &'static str, JsValue);

/// An object with one property.
fn with(name: &str, value: &JsValue) -> Object {
    let object = Object::new();
    // Setting a property of a fresh plain object can't fail.
    let _ = Reflect::set(&object, &name.into(), value);
    object
}

/// Waits until an opening request has succeeded.
async fn opened(request: &Request) -> Result<(), String> {
    settled(request, |yes, no| {
        request.set_onsuccess(yes);
        request.set_onerror(no);
        request.set_onblocked(no);
    })
    .await
}

/// Waits until a transaction is complete. An error in it is told with the
/// giving up that follows: only then does the browser say why.
async fn complete(transaction: &Request) -> Result<(), String> {
    settled(transaction, |yes, no| {
        transaction.set_oncomplete(yes);
        transaction.set_onabort(no);
    })
    .await
}

async fn settled(of: &Request, listen: impl Fn(&Function, &Function)) -> Result<(), String> {
    let promise = Promise::new(&mut |yes: Function, no: Function| listen(&yes, &no));
    JsFuture::from(promise).await.map_err(|_| match of.error() {
        Ok(error) => words(&error),
        // A request that still waits has no error yet.
        Err(_) => "an older version of the app is still open: close its other windows".into(),
    })?;
    Ok(())
}

/// The browser's words for what went wrong, with the name of the kind of error.
fn words(error: &JsValue) -> String {
    let property = |name: &str| {
        Reflect::get(error, &name.into()).ok().and_then(|text| text.as_string()).unwrap_or_default()
    };
    match (property("name"), property("message")) {
        (name, _) if name.is_empty() => "the browser gave up".into(),
        (name, message) => format!("{name}: {message}"),
    }
}

impl Database {
    /// Opens a database, making the tables that it lacks when it is of an earlier
    /// version; those that are there stay as they are.
    ///
    /// # Errors
    /// The browser's words.
    pub async fn open(name: &str, version: u32, tables: Vec<Shape>) -> Result<Self, String> {
        // Some browsers refuse the very look at it.
        let factory = Reflect::get(&js_sys::global(), &"indexedDB".into())
            .ok()
            .filter(JsValue::is_object)
            .ok_or("it has no database")?
            .unchecked_into::<Factory>();
        let request = factory.open(name, version).map_err(|error| words(&error))?;
        let opening = request.clone();
        let upgrade = Closure::<dyn FnMut()>::new(move || {
            let database: Self = opening.result().unchecked_into();
            for (table, option, value) in &tables {
                if !database.names().contains(table) {
                    database.create(table, &with(option, value));
                }
            }
        });
        request.set_onupgradeneeded(upgrade.as_ref());
        opened(&request).await?;
        let database: Self = request.result().unchecked_into();
        // A newer version in another window must not wait for this one.
        let open = request;
        let leave = Closure::<dyn FnMut()>::new(move || {
            open.result().unchecked_into::<Self>().close();
        });
        database.set_onversionchange(&leave.into_js_value());
        Ok(database)
    }

    /// Everything in some tables, as it was at one instant; where a key is given,
    /// only what has it.
    ///
    /// # Errors
    /// The browser's words.
    pub async fn read(&self, tables: &[(&str, JsValue)]) -> Result<Vec<Vec<JsValue>>, String> {
        let names = tables.iter().map(|(table, _)| JsValue::from_str(table)).collect();
        let begin = || {
            let transaction = self.begin(&names, "readonly", &Object::new())?;
            let all = |(table, key): &(&str, JsValue)| transaction.table(table)?.all(key);
            let requests = tables.iter().map(all).collect::<Result<Vec<_>, _>>()?;
            Ok((transaction, requests))
        };
        let (transaction, requests) = begin().map_err(|error| words(&error))?;
        complete(&transaction).await?;
        let found = |request: &Request| request.result().unchecked_into::<Array>().to_vec();
        Ok(requests.iter().map(found).collect())
    }

    /// Changes some tables, all or none, and waits until all is on the phone.
    ///
    /// # Errors
    /// The browser's words, when nothing was changed.
    pub async fn change(&self, changes: &[Change]) -> Result<(), String> {
        let names = changes.iter().map(|(table, ..)| JsValue::from_str(table)).collect();
        // Browsers that know the option take a write for done before it has
        // left their cache. A tick here means stored.
        let strict = with("durability", &"strict".into());
        let transaction =
            self.begin(&names, "readwrite", &strict).map_err(|error| words(&error))?;
        let issue = || {
            for (table, values, gone) in changes {
                let table = transaction.table(table)?;
                for value in values {
                    table.add(value)?;
                }
                for key in gone {
                    table.delete(key)?;
                }
            }
            Ok(())
        };
        if let Err(error) = issue() {
            // A transaction that can't be given up has been given up already.
            let _ = transaction.abort();
            return Err(words(&error));
        }
        complete(&transaction).await
    }
}
