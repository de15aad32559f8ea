//! The shelf of hulls in the browser's own database: a list of entries, and each hull's files.

use js_sys::{Array, Promise, Uint8Array};
use keelstead_files::FileError;
use keelstead_files::given::Given;
use keelstead_files::shelf::{Put, Shelved, ToShelve};
use keelstead_workbench::action::Request;
use keelstead_workbench::task::Files;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    DomException, IdbDatabase, IdbObjectStore, IdbOpenDbRequest, IdbRequest, IdbTransaction,
    IdbTransactionMode,
};

use super::{Letter, bytes_of, post};
use crate::shelf::ShelfAnswer;

/// The database, one for the site.
const DATABASE: &str = "keelstead-shelf";
/// Entries as JSON, by id.
const ENTRIES: &str = "entries";
/// Files of each hull as pairs of name and bytes, by id.
const FILES: &str = "files";

/// Answers in its own time, by letter.
pub(super) fn ask(request: Request) {
    spawn_local(async move {
        let answer = match request {
            Request::ShelfList => {
                let listed = list().await;
                ShelfAnswer::Listed(listed.map_err(|error| unreadable("the shelf", &error)))
            }
            Request::ShelfPut(hull) => ShelfAnswer::Put(put(&hull).await),
            Request::ShelfGet(id) => {
                let task = get(&id).await;
                ShelfAnswer::Got(id, task)
            }
            Request::ShelfRemove(id) => {
                let removed = remove(&id).await;
                ShelfAnswer::Removed(removed.map_err(|error| not_saved(&id, &error)))
            }
            _ => return,
        };
        post(Letter::Shelf(answer));
    });
}

async fn list() -> Result<Vec<Shelved>, JsValue> {
    let entries = store(&open().await?, ENTRIES)?;
    let ids: Array = settled(&entries.get_all_keys()?).await?.unchecked_into();
    let texts: Array = settled(&entries.get_all()?).await?.unchecked_into();
    let mut shelf: Vec<Shelved> = ids
        .iter()
        .zip(texts.iter())
        .map(|(id, text)| entry(id.as_string().unwrap_or_default(), &text))
        .collect();
    shelf.sort_by_key(|entry| entry.name.to_lowercase());
    Ok(shelf)
}

/// The entry of a hull; one with its trouble if it cannot be understood.
fn entry(id: String, text: &JsValue) -> Shelved {
    let text = text.as_string().unwrap_or_default();
    serde_json::from_str(&text).unwrap_or_else(|error| Shelved {
        name: id.clone(),
        id,
        size_m: None,
        since_s: None,
        trouble: Some(format!("the browser's note of it is broken: {error}")),
    })
}

async fn put(hull: &ToShelve) -> Result<Put, FileError> {
    let packed = hull.packed()?;
    let id = hull.id();
    let shelved = Shelved {
        id: id.clone(),
        name: hull.name.clone(),
        size_m: Some(hull.size_m),
        since_s: Some(js_sys::Date::now() / 1000.0),
        trouble: None,
    };
    let text = serde_json::to_string(&shelved).map_err(|error| FileError::NotSaved {
        path: id.clone(),
        why: error.to_string(),
        advice: "please report this".into(),
    })?;
    let kept = keep(&id, &text, &packed, hull.replace).await;
    match kept.map_err(|error| not_saved(&id, &error))? {
        Some(there) => Ok(Put::Taken(entry(id, &there))),
        None => Ok(Put::Done(shelved)),
    }
}

/// Writes entry and files in one transaction; what stands there already, if it was left.
async fn keep(
    id: &str,
    text: &str,
    packed: &[Given],
    replace: bool,
) -> Result<Option<JsValue>, JsValue> {
    ask_to_persist();
    let database = open().await?;
    let (transaction, [entries, files]) = writing(&database)?;
    let there = settled(&entries.get(&id.into())?).await?;
    if !there.is_undefined() && !replace {
        return Ok(Some(there));
    }
    let pair =
        |file: &Given| Array::of2(&file.name.as_str().into(), &Uint8Array::from(&*file.bytes));
    let list: Array = packed.iter().map(pair).collect();
    entries.put_with_key(&text.into(), &id.into())?;
    files.put_with_key(&list, &id.into())?;
    JsFuture::from(ended(&transaction)).await?;
    Ok(None)
}

async fn get(id: &str) -> Result<Files, FileError> {
    let read = async || settled(&store(&open().await?, FILES)?.get(&id.into())?).await;
    let list = read().await.map_err(|error| unreadable(id, &error))?;
    let given: Vec<Given> = list
        .dyn_ref::<Array>()
        .into_iter()
        .flat_map(Array::iter)
        .map(|pair| {
            let pair: Array = pair.unchecked_into();
            let name = pair.get(0).as_string().unwrap_or_default();
            Given::new(name, bytes_of(&pair.get(1).unchecked_into()))
        })
        .collect();
    if given.is_empty() {
        return Err(FileError::Missing {
            path: format!("{id} on the shelf in this browser"),
            referred_by: None,
        });
    }
    Ok(Files::Given(given))
}

async fn remove(id: &str) -> Result<(), JsValue> {
    let database = open().await?;
    let (transaction, stores) = writing(&database)?;
    for store in stores {
        store.delete(&id.into())?;
    }
    JsFuture::from(ended(&transaction)).await.map(drop)
}

/// The database, made if it is not there.
async fn open() -> Result<IdbDatabase, JsValue> {
    let factory = web_sys::window().ok_or("no window")?.indexed_db()?;
    let request = factory
        .ok_or("this browser keeps nothing here")?
        .open_with_u32(DATABASE, 1)?;
    let opening: IdbOpenDbRequest = request.clone();
    let make = Closure::once_into_js(move || {
        let database: IdbDatabase = match opening.result() {
            Ok(database) => database.unchecked_into(),
            Err(_) => return,
        };
        for name in [ENTRIES, FILES] {
            // An error ends the transaction, which the one who waits hears of.
            if let Err(error) = database.create_object_store(name) {
                web_sys::console::error_1(&error);
            }
        }
    });
    request.set_onupgradeneeded(Some(make.unchecked_ref()));
    settled(&request).await.map(JsCast::unchecked_into)
}

/// A store for reading.
fn store(database: &IdbDatabase, name: &str) -> Result<IdbObjectStore, JsValue> {
    database.transaction_with_str(name)?.object_store(name)
}

/// A transaction that writes both stores or neither.
fn writing(database: &IdbDatabase) -> Result<(IdbTransaction, [IdbObjectStore; 2]), JsValue> {
    let names = Array::of2(&ENTRIES.into(), &FILES.into());
    let mode = IdbTransactionMode::Readwrite;
    let transaction = database.transaction_with_str_sequence_and_mode(&names, mode)?;
    let stores = [
        transaction.object_store(ENTRIES)?,
        transaction.object_store(FILES)?,
    ];
    Ok((transaction, stores))
}

/// What a request comes to.
async fn settled(request: &IdbRequest) -> Result<JsValue, JsValue> {
    let promise = Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    match JsFuture::from(promise).await {
        Ok(_) => request.result(),
        Err(event) => Err(request.error().ok().flatten().map_or(event, JsValue::from)),
    }
}

/// When a transaction has ended: kept, or undone with its error.
fn ended(transaction: &IdbTransaction) -> Promise {
    Promise::new(&mut |resolve, reject| {
        transaction.set_oncomplete(Some(&resolve));
        let undone = transaction.clone();
        let tell = Closure::once_into_js(move || {
            let error = undone.error().map_or(JsValue::UNDEFINED, JsValue::from);
            // Nobody waits any more only when the page is gone.
            let _ = reject.call1(&JsValue::UNDEFINED, &error);
        });
        transaction.set_onabort(Some(tell.unchecked_ref()));
    })
}

/// Asks the browser not to clear the shelf away when it wants room. It may say no; nothing is lost by asking.
fn ask_to_persist() {
    let asked = web_sys::window().map(|window| window.navigator().storage().persist());
    if let Some(Ok(promise)) = asked {
        spawn_local(async move {
            let _ = JsFuture::from(promise).await;
        });
    }
}

/// An error of the browser's in words a person can use.
fn in_words(error: &JsValue) -> String {
    let Some(exception) = error.dyn_ref::<DomException>() else {
        return error.as_string().unwrap_or_else(|| format!("{error:?}"));
    };
    let name = exception.name();
    let says = match name.as_str() {
        "QuotaExceededError" => "the browser has no more room for this page",
        "InvalidStateError" | "SecurityError" | "UnknownError" => {
            "the browser keeps nothing for this page, as in a private window"
        }
        _ => return format!("{name}: {}", exception.message()),
    };
    format!("{says} ({name}: {})", exception.message())
}

fn unreadable(path: &str, error: &JsValue) -> FileError {
    FileError::Unreadable {
        path: path.to_owned(),
        why: in_words(error),
    }
}

fn not_saved(path: &str, error: &JsValue) -> FileError {
    FileError::NotSaved {
        path: path.to_owned(),
        why: in_words(error),
        advice: "take hulls off the shelf or free room on the device, and try again; or save the job, which hands its \
                 hull over as files"
            .into(),
    }
}
