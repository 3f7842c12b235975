//! A closed list that a person chooses from. Each member has a key (kept, exported, the same as its serde name) and a
//! label (shown, an English key for the page), declared once in a table.

/// Implemented by the enums of the model, so that forms, files and the store treat every list alike.
pub trait Choice: Copy + PartialEq + 'static {
    /// Every member with its key and label, in the order a form shows them.
    const LIST: &'static [(Self, &'static str, &'static str)];

    /// What is kept and exported.
    fn key(self) -> &'static str {
        Self::LIST.iter().find(|row| row.0 == self).map_or("", |row| row.1)
    }

    /// What a person reads.
    fn label(self) -> &'static str {
        Self::LIST.iter().find(|row| row.0 == self).map_or("", |row| row.2)
    }

    /// The member of that key.
    #[must_use]
    fn from_key(key: &str) -> Option<Self> {
        Self::LIST.iter().find(|row| row.1 == key).map(|row| row.0)
    }
}

/// Key and label of each member, for fields that only need to show the list.
#[must_use]
pub fn options<T: Choice>() -> Vec<(&'static str, &'static str)> {
    T::LIST.iter().map(|row| (row.1, row.2)).collect()
}
