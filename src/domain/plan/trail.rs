//! One trail over edges: running through each of them once, without lifting the pencil.

/// An edge from point to point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    from: usize,
    to: usize,
    /// The stop that it stands for; `None` for a way between stops.
    stop: Option<usize>,
}

impl Edge {
    /// Makes a way between stops.
    pub(super) fn between(from: usize, to: usize) -> Edge {
        Edge { from, to, stop: None }
    }

    /// Makes the edge of a stop.
    pub(super) fn stop(from: usize, to: usize, stop: usize) -> Edge {
        Edge { from, to, stop: Some(stop) }
    }
}

/// Returns the stops in the order of a trail that begins at a point and uses every edge once
/// (Hierholzer's method). The edges have to hang together and be balanced.
pub(super) fn stops_along(edges: &[Edge], start: usize, points: usize) -> Vec<usize> {
    let mut out: Vec<Vec<Edge>> = vec![Vec::new(); points];
    // Last in, first out: the edges of a point are used in the order in which they were given.
    for edge in edges.iter().rev() {
        if let Some(edges) = out.get_mut(edge.from) {
            edges.push(*edge);
        }
    }
    let mut way = vec![(start, None)];
    let mut stops = Vec::new();
    while let Some(&(at, came_by)) = way.last() {
        match out.get_mut(at).and_then(Vec::pop) {
            Some(edge) => way.push((edge.to, edge.stop)),
            None => {
                stops.extend(came_by);
                way.pop();
            }
        }
    }
    stops.reverse();
    stops
}
