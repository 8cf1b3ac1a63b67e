//! The words of the trade as this program uses them.
//!
//! Definitions are common practice, no source, where nothing stands beside. Overlap, the four letters
//! of crank angles, lifters and shims: the design's check values 2.8, 5.4, 5.1.

/// A word and what it means.
#[derive(Debug)]
pub struct Term {
    /// The word.
    pub term: &'static str,
    /// Others for the same.
    pub also: &'static [&'static str],
    /// What it means.
    pub means: &'static str,
    /// The topic that has a drawing of it; empty where none has.
    pub drawn: &'static str,
}

const fn term(term: &'static str, also: &'static [&'static str], means: &'static str) -> Term {
    Term { term, also, means, drawn: "" }
}

impl Term {
    const fn drawn_in(self, topic: &'static str) -> Term {
        Term { drawn: topic, ..self }
    }
}

/// All words, in the order of the alphabet.
#[rustfmt::skip]
pub static TERMS: &[Term] = &[
    term("ABDC", &["after bottom dead centre"], "After bottom dead centre, in degrees of crank: 58 ABDC is 58 degrees past the lowest place of the piston."),
    term("as-found", &["found"], "What a valve reads before anything was touched in this service. It tells of wear."),
    term("as-left", &["left"], "The last valid reading of a service: what the engine goes out with, and what the next service is compared with."),
    term("ATDC", &["after top dead centre"], "After top dead centre, in degrees of crank."),
    term("bank", &["banks", "row"], "A row of cylinders on one side of the engine; in a radial, one star of cylinders."),
    term("base circle", &["round side"], "The round part of a cam, where the valve is shut. Clearance is gauged there."),
    term("BBDC", &["before bottom dead centre"], "Before bottom dead centre, in degrees of crank."),
    term("blade", &["propeller blade", "blades"], "A blade of the propeller. A thickness of a feeler set is called a leaf here, so that the two are never mixed up."),
    term("bled", &["bleed"], "A hydraulic lifter whose oil was pressed out, so that its plunger can go to the bottom."),
    term("bottomed", &["lifter dry and bottomed"], "The plunger of a hydraulic lifter stands on its seat. Only then is there a clearance to gauge."),
    term("BTDC", &["before top dead centre"], "Before top dead centre, in degrees of crank: 18 BTDC is 18 degrees before the highest place of the piston."),
    term("cam ring", &[], "The large ring with lobes that opens the valves of a radial."),
    term("caution", &[], "A thing to make safe before hands go near. It is answered with what is seen."),
    term("clearance", &["lash", "gap", "valve lash", "valve clearance", "play"], "The play between a shut valve and what opens it. Too little, and the valve does not seat and burns; too much, and it is hammered.").drawn_in("gauge"),
    term("compression stroke", &["compression"], "The piston comes up with both valves shut. At its end a cylinder can be gauged."),
    term("drag", &["light drag"], "How a leaf feels that just fits: it moves, with a little pull."),
    term("drift", &["movement"], "How fast a clearance moves over running hours, with what was adjusted taken out."),
    term("dry clearance", &["dry tappet clearance", "collapsed"], "The clearance of a hydraulic lifter that is bled and bottomed."),
    term("firing order", &["order"], "The order in which the cylinders fire, in the engine's own numbers. It decides which are opposites."),
    term("floating cam ring", &[], "A cam ring with a large play on its bearing. Open valves push it aside, so it is gauged only at the positions of the manual's table, with valves unloaded."),
    term("forecast", &[], "When a drift would reach a limit. Made from five services on; the soonest counts."),
    term("go and no-go", &["go", "no-go", "pair", "go/no-go"], "Two leaves that hold a clearance between them: 6 goes, 7 will not, typed 6/7.").drawn_in("gauge"),
    term("hydraulic lifter", &["lifter", "hydraulic"], "A lifter that takes up its play with oil. There is no screw: push rods of other lengths set the dry clearance."),
    term("in limits", &["limits"], "The reading lies in the band that a valve may be found in, or, once touched, in the set band."),
    term("leaf", &["feeler", "leaves", "feeler gauge"], "One thickness of a feeler set. Two in a stack are typed 25+6.").drawn_in("gauge"),
    term("listed end", &["listed from"], "The end of the engine from which cylinders of a bank are counted."),
    term("lobe", &["cam lobe", "nose"], "The part of a cam that opens the valve."),
    term("lock nut", &["locknut"], "The nut that keeps an adjusting screw. A nut that nobody answered for counts as loose."),
    term("loose", &[], "More clearance than the band allows; of a rocker: with play, so its valve is shut.").drawn_in("turn"),
    term("margin", &[], "Degrees of crank from where it stands to where the valve would next open or has just shut."),
    term("nominal", &[], "The one figure of a reading: the leaf, or the middle of a pair. An open end has none."),
    term("open item", &["open items"], "What must not be forgotten: a nut slack, a valve unloaded, a part out, a valve that a part may hold open, a piece missing. It stands in the top line and bars the run."),
    term("opposite", &["companion"], "The cylinder one crank turn (360 degrees) away in the firing order: when one is at overlap, its opposite is at the end of compression and is gauged."),
    term("overlap", &["rocking valves"], "The crank position where a cylinder's exhaust is nearly shut and its intake begins to open.").drawn_in("turn"),
    term("profile", &[], "A file that describes a kind of engine. Its figures are examples until you name your manual."),
    term("push rod", &["pushrod"], "The rod from lifter to rocker."),
    term("ramp", &[], "The gentle beginning and end of a cam's lift. It widens each opening a little, so that nothing is gauged on it."),
    term("recheck", &["recheck round"], "The second time round: every valve gauged again, with all nuts locked."),
    term("rocker", &["rocker arm"], "The lever that presses a valve open. Its pad bears on the valve's stem."),
    term("rocker ratio", &["ratio"], "How much more the valve's end of a rocker moves than the rod's end."),
    term("seal", &["seal code", "code"], "What closes a session's file: a code made from all its lines. Nothing but remarks can follow, and a changed line shows."),
    term("set band", &["set limits", "set_least"], "The band that a valve must be left in once it was touched; it may be narrower than the one it may be found in."),
    term("shim", &["shims"], "A plate of known thickness between cam and valve. A thicker one takes clearance away."),
    term("slack", &["nut slack"], "Of a lock nut: opened, not yet tightened and gauged after."),
    term("stop", &["stops"], "One place where the crank is left standing while valves are gauged."),
    term("survey", &[], "A round that gauges all and touches nothing."),
    term("tappet", &["follower", "bucket"], "What rides on the cam and passes its lift on."),
    term("target", &[], "The figure to set a valve to."),
    term("TDC", &["top dead centre", "dead centre"], "Top dead centre: the piston at its highest. Each cylinder has two: after compression, and at overlap."),
    term("thou", &["thousandth", "mil"], "A thousandth of an inch, 0.0254 mm."),
    term("tight", &[], "Less clearance than the band allows. It makes no noise and burns the valve: it comes first."),
    term("undecided", &["settle"], "The reading may lie inside or outside: the leaf that would settle it is named."),
    term("unloaded", &["unload"], "A valve pressed open by hand so that its spring does not push the cam ring. Never turn the crank then."),
    term("way round", &["plan"], "The order of stops that gauges every valve once."),
    term("wedge-lock washer", &["lock washer"], "A washer of two halves that hold by their faces. Both halves come off and both go back."),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_stands_once_and_in_its_place() {
        let key = |word: &str| word.to_lowercase();
        let words: Vec<String> = TERMS.iter().map(|term| key(term.term)).collect();
        assert!(words.is_sorted(), "{words:?}");
        let mut all: Vec<String> = TERMS
            .iter()
            .flat_map(|term| std::iter::once(term.term).chain(term.also.iter().copied()))
            .map(key)
            .collect();
        let count = all.len();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), count, "a word stands twice");
    }

    #[test]
    fn every_meaning_is_one_or_few_sentences() {
        for term in TERMS {
            assert!(term.means.ends_with('.') && term.means.len() <= 240, "{}", term.term);
        }
    }
}
