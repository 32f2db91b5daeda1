//! Who follows whom, who owns whom, and what runs when.

use super::calls::{Ask, TakeMut};
use std::any::Any;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

/// A name for a node that is never given twice.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Key {
    index: u32,
    generation: u32,
}

/// How a node stands to what it follows.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Mark {
    /// Nothing has changed.
    Clean,
    /// A memo that it follows may have.
    Check,
    /// Something has.
    Dirty,
}

/// What a memo or an effect does; tells whether its value differs from before.
type Run = Rc<dyn Ask<bool>>;

/// A node of the graph.
struct Item {
    generation: u32,
    /// How far below the root its owner is.
    depth: u32,
    value: Option<Rc<dyn Any>>,
    run: Option<Run>,
    effect: bool,
    mark: Mark,
    follows: Vec<Key>,
    followed_by: Vec<Key>,
    owns: Vec<Key>,
}

#[derive(Default)]
struct Graph {
    items: RefCell<Vec<Item>>,
    free: RefCell<Vec<u32>>,
    /// Who reads now.
    reader: Cell<Option<Key>>,
    /// Who owns what is made now.
    owner: Cell<Option<Key>>,
    waiting: RefCell<Vec<(u32, Key)>>,
}

thread_local! {
    static GRAPH: Graph = Graph::default();
}

/// Makes a node, owned by what runs now.
pub fn make(value: Option<Rc<dyn Any>>, run: Option<Run>, effect: bool) -> Key {
    GRAPH.with(|graph| {
        let mut items = graph.items.borrow_mut();
        let owner = graph.owner.get();
        let depth = owner.and_then(|owner| find(&mut items, owner)).map_or(0, |o| o.depth + 1);
        let mut item = Item {
            generation: 0,
            depth,
            value,
            run,
            effect,
            mark: Mark::Dirty,
            follows: Vec::new(),
            followed_by: Vec::new(),
            owns: Vec::new(),
        };
        let key = match graph.free.borrow_mut().pop() {
            Some(index) => {
                let old = &mut items[index as usize];
                item.generation = old.generation + 1;
                let key = Key { index, generation: item.generation };
                *old = item;
                key
            }
            None => {
                items.push(item);
                Key { index: items.len() as u32 - 1, generation: 0 }
            }
        };
        if let Some(owner) = owner.and_then(|owner| find(&mut items, owner)) {
            owner.owns.push(key);
        }
        key
    })
}

fn find(items: &mut [Item], key: Key) -> Option<&mut Item> {
    items.get_mut(key.index as usize).filter(|item| item.generation == key.generation)
}

/// Looks at a node, if it is still there.
fn with_item<T>(key: Key, look: impl FnOnce(&mut Item) -> T) -> Option<T> {
    GRAPH.with(|graph| find(&mut graph.items.borrow_mut(), key).map(look))
}

/// The value of a node, if it is still there.
pub fn value(key: Key) -> Option<Rc<dyn Any>> {
    with_item(key, |item| item.value.clone()).flatten()
}

/// Takes a node out, with all that it owns.
pub fn dispose(key: Key) {
    // Dropped last, for the drop of a value may come back here.
    let gone = with_item(key, |item| {
        item.generation += 1;
        let parts = (item.value.take(), item.run.take());
        (parts, std::mem::take(&mut item.owns), std::mem::take(&mut item.follows))
    });
    if let Some((parts, owns, follows)) = gone {
        unfollow(key, follows);
        owns.into_iter().for_each(dispose);
        GRAPH.with(|graph| graph.free.borrow_mut().push(key.index));
        drop(parts);
    }
}

fn unfollow(key: Key, follows: Vec<Key>) {
    for source in follows {
        with_item(source, |item| item.followed_by.retain(|other| *other != key));
    }
}

/// Lets the reader of now follow a node.
pub fn track(key: Key) {
    let Some(reader) = GRAPH.with(|graph| graph.reader.get()) else { return };
    let new = with_item(key, |item| {
        let new = !item.followed_by.contains(&reader);
        if new {
            item.followed_by.push(reader);
        }
        new
    });
    if new == Some(true) {
        with_item(reader, |item| item.follows.push(key));
    }
}

/// Tells those who follow a node that it has changed.
pub fn changed(key: Key) {
    tell(key, None);
}

fn tell(key: Key, all_but: Option<Key>) {
    let followers = with_item(key, |item| item.followed_by.clone()).unwrap_or_default();
    for follower in followers {
        if Some(follower) != all_but {
            mark(follower, Mark::Dirty);
        }
    }
}

fn mark(key: Key, with: Mark) {
    let reached = with_item(key, |item| {
        let first = item.mark == Mark::Clean;
        if item.mark < with {
            item.mark = with;
        }
        let followers = if first { item.followed_by.clone() } else { Vec::new() };
        (first && item.effect, item.depth, followers)
    });
    let Some((wakes, depth, followers)) = reached else { return };
    followers.into_iter().for_each(|follower| mark(follower, Mark::Check));
    if wakes {
        let first = GRAPH.with(|graph| {
            let mut waiting = graph.waiting.borrow_mut();
            waiting.push((depth, key));
            waiting.len() == 1
        });
        if first {
            wake();
        }
    }
}

/// Has the waiting effects run at the end of the act of now.
#[cfg(target_arch = "wasm32")]
fn wake() {
    wasm_bindgen_futures::spawn_local(async { run_waiting() });
}

/// Outside a browser (tests), who wants them to run says so.
#[cfg(not(target_arch = "wasm32"))]
fn wake() {}

/// Runs the effects that wait, outer ones first: they may take inner ones away.
pub fn run_waiting() {
    loop {
        let next = GRAPH.with(|graph| {
            let mut waiting = graph.waiting.borrow_mut();
            let outermost =
                waiting.iter().enumerate().min_by_key(|(_, (depth, _))| *depth).map(|(at, _)| at);
            outermost.map(|at| waiting.remove(at).1)
        });
        match next {
            Some(key) => {
                update(key);
            }
            None => return,
        }
    }
}

/// Runs a memo or an effect if what it follows has changed; tells whether its
/// own value has.
pub fn update(key: Key) -> bool {
    let Some((mut mark, follows)) = with_item(key, |item| (item.mark, item.follows.clone())) else {
        return false;
    };
    if mark == Mark::Check {
        for source in follows {
            // A memo that differs marks those who follow it, this one too.
            update(source);
            mark = with_item(key, |item| item.mark).unwrap_or(Mark::Clean);
            if mark == Mark::Dirty {
                break;
            }
        }
    }
    if mark == Mark::Dirty {
        return run(key);
    }
    with_item(key, clean);
    false
}

fn clean(item: &mut Item) {
    item.mark = Mark::Clean;
}

fn run(key: Key) -> bool {
    let taken = with_item(key, |item| {
        clean(item);
        let run = item.run.clone();
        (run, std::mem::take(&mut item.owns), std::mem::take(&mut item.follows))
    });
    let Some((Some(run), owns, follows)) = taken else { return false };
    unfollow(key, follows);
    owns.into_iter().for_each(dispose);
    let differs = inside(Some(key), Some(key), || run.ask());
    if differs {
        // Whoever asks for the value just now gets it.
        tell(key, GRAPH.with(|graph| graph.reader.get()));
    }
    differs
}

/// Runs something with a reader and an owner, and puts back those of before.
fn inside<T>(reader: Option<Key>, owner: Option<Key>, act: impl FnOnce() -> T) -> T {
    let before = GRAPH.with(|graph| (graph.reader.replace(reader), graph.owner.replace(owner)));
    let gives = act();
    GRAPH.with(|graph| {
        graph.reader.set(before.0);
        graph.owner.set(before.1);
    });
    gives
}

/// Reads without following.
pub fn untrack<T>(act: impl FnOnce() -> T) -> T {
    let before = GRAPH.with(|graph| graph.reader.replace(None));
    let gives = act();
    GRAPH.with(|graph| graph.reader.set(before));
    gives
}

/// Runs something whose makings stay for as long as the page lives.
pub fn root<T>(act: impl FnOnce() -> T) -> T {
    let root = make(None, None, false);
    inside(None, Some(root), act)
}

/// Something that is done again after each change of what it reads. It ends with
/// the run that owns it.
pub struct Effect;

impl Effect {
    /// Runs it at the end of the act of now, and after changes.
    pub fn new(act: impl FnMut(()) + 'static) -> Self {
        let key = effect(Box::new(act));
        // As if something had changed: it waits with the others.
        with_item(key, clean);
        mark(key, Mark::Dirty);
        Self
    }
}

/// An effect that runs at once, and ends when this is dropped.
pub struct RenderEffect(Key);

impl RenderEffect {
    /// Runs it, and runs it again after changes.
    pub fn new(act: Box<dyn TakeMut<()>>) -> Self {
        let key = effect(act);
        update(key);
        Self(key)
    }
}

impl Drop for RenderEffect {
    fn drop(&mut self) {
        dispose(self.0);
    }
}

fn effect(act: Box<dyn TakeMut<()>>) -> Key {
    let act = RefCell::new(act);
    let run = move || {
        act.borrow_mut().take_mut(());
        false
    };
    make(None, Some(Rc::new(run)), true)
}
