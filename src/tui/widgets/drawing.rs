//! A drawing of the engine as it stands on a screen: what is tried beside a question asks its size a
//! hundred times before it is painted once, so each size is worked out once.

use super::engine::{Detail, EngineView};
use std::collections::HashMap;
use std::ops::Deref;
use std::sync::{Arc, Mutex, PoisonError};

/// An engine that changes no more: what is known of its size stays true, in its copies too.
#[derive(Clone, Debug)]
pub struct Drawing(Arc<Drawn>);

#[derive(Debug)]
struct Drawn {
    engine: EngineView,
    sizes: Known<Option<(u16, u16)>>,
    rings: Known<bool>,
}

/// What is known already, by the detail, width and height that were asked for.
type Known<T> = Mutex<HashMap<(Detail, u16, u16), T>>;

impl From<EngineView> for Drawing {
    fn from(engine: EngineView) -> Drawing {
        let (sizes, rings) = (Known::default(), Known::default());
        Drawing(Arc::new(Drawn { engine, sizes, rings }))
    }
}

impl Drawing {
    /// The columns and rows of `EngineView::size`.
    pub fn size(&self, detail: Detail, width: u16, height: u16) -> Option<(u16, u16)> {
        let Drawn { engine, sizes, .. } = &*self.0;
        once(sizes, (detail, width, height), || engine.size(detail, width, height))
    }

    /// Whether it is a ring, as `EngineView::is_ring` tells.
    pub fn is_ring(&self, detail: Detail, width: u16, height: u16) -> bool {
        let Drawn { engine, rings, .. } = &*self.0;
        once(rings, (detail, width, height), || engine.is_ring(detail, width, height))
    }
}

fn once<T: Copy>(known: &Known<T>, asked: (Detail, u16, u16), work_out: impl FnOnce() -> T) -> T {
    let mut known = known.lock().unwrap_or_else(PoisonError::into_inner);
    *known.entry(asked).or_insert_with(work_out)
}

impl Deref for Drawing {
    type Target = EngineView;

    fn deref(&self) -> &EngineView {
        &self.0.engine
    }
}

impl PartialEq for Drawing {
    fn eq(&self, other: &Drawing) -> bool {
        self.0.engine == other.0.engine
    }
}
