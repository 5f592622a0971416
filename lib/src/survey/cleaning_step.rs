//! The steps of track cleaning by name. Each step reports what it does, and can be
//! switched off.

/// A step of track cleaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cleaning {
    /// A fix that jumps away and comes back.
    Spike,
    /// Standing still: many fixes of one place would get too much weight.
    Pause,
    /// A detour to a post or a gate and back the same way,
    /// or round an obstacle and back to the line elsewhere.
    Spur,
    /// The way to the line before the walk, and away from it afterwards.
    Approach,
    /// The part after the last whole lap, where the walk repeats its beginning.
    Overlap,
    /// What a person had cut off an end of the walk. It is not an automatic step, and comes before them.
    Trim,
}

impl Cleaning {
    /// All automatic steps, in the order in which they run.
    pub const ALL: [Self; 5] = [Self::Spike, Self::Pause, Self::Spur, Self::Approach, Self::Overlap];

    /// The name used on the command line.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Spike => "spikes",
            Self::Pause => "pauses",
            Self::Spur => "spurs",
            Self::Approach => "approach",
            Self::Overlap => "overlap",
            Self::Trim => "trim",
        }
    }

    /// The step of this name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.id() == id)
    }
}
