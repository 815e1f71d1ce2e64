//! What a subject of safety says: what can happen, how to tell, what to do, when to stop and ask.

use crate::catalogue::Certainty;

/// When a thing hurts: the order in which the index lists its subjects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// On the evening itself.
    Tonight,
    /// Weeks later, in the glass.
    Later,
    /// What is allowed, and to whom.
    Law,
}

impl Group {
    /// All groups, the most pressing first.
    pub const ALL: [Group; 3] = [Group::Tonight, Group::Later, Group::Law];

    /// Its heading in the index.
    pub fn heading(self) -> &'static str {
        match self {
            Group::Tonight => "What can hurt tonight",
            Group::Later => "What can hurt later",
            Group::Law => "What the law says",
        }
    }
}

/// Where something is said, and how sure that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    pub text: &'static str,
    pub certainty: Certainty,
}

/// A source that was read.
pub(super) const fn published(text: &'static str) -> Source {
    Source {
        text,
        certainty: Certainty::Published,
    }
}

/// A source named from memory.
pub(super) const fn recalled(text: &'static str) -> Source {
    Source {
        text,
        certainty: Certainty::FromMemory,
    }
}

/// What people who do the work know.
pub(super) const PRACTICE: Source = Source {
    text: "",
    certainty: Certainty::CommonPractice,
};

impl Source {
    /// The source as a page prints it: its name and how sure it is.
    pub fn words(self) -> String {
        match self.text {
            "" => self.certainty.words().to_owned(),
            text => format!("{text} ({})", self.certainty.words()),
        }
    }
}

/// A table that stands beside a section; its figures are reckoned, not written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// What a batch gives off, and the room that this fills.
    GasOfBatches,
    /// What each kind of bottle may hold.
    Bottles,
    /// Alcohol in one glass.
    Alcohol,
    /// Plants that are refused, with what is wrong with them.
    PlantsLeftOut,
    /// Plants and other things that are good with care only.
    PlantsWithCare,
}

/// One thing that can happen. Texts may hold figures in braces, `{20:volume}`, printed in the reader's units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section {
    /// The end of its address; never changed, since other pages lead to it.
    pub anchor: &'static str,
    pub heading: &'static str,
    /// What can happen.
    pub happens: &'static str,
    /// How to tell.
    pub tell: &'static str,
    /// What to do.
    pub steps: &'static [&'static str],
    /// When to stop, and whom to ask.
    pub ask: &'static str,
    pub sources: &'static [Source],
    pub beside: Option<Beside>,
}

/// One page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Subject {
    /// The end of its address; never changed.
    pub key: &'static str,
    pub name: &'static str,
    pub group: Group,
    /// One sentence for the index and under the heading.
    pub line: &'static str,
    /// What the sheet on the wall says of it.
    pub wall: &'static str,
    pub sections: &'static [Section],
}

impl Subject {
    /// The section of that anchor.
    pub fn section(&self, anchor: &str) -> Option<&'static Section> {
        self.sections
            .iter()
            .find(|section| section.anchor == anchor)
    }
}
