//! What became of every row that was read.

/// Rows of one kind of input (cases or passes). They always balance:
/// `read = accepted + set_aside + duplicates`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Accounting {
    /// Rows below the header.
    pub read: u64,
    /// Rows that became records, some of them with values missing.
    pub accepted: u64,
    /// Rows that could not become records. Each has an issue.
    pub set_aside: u64,
    /// Rows that repeat an earlier row word for word.
    pub duplicates: u64,
}

impl Accounting {
    /// Whether every row that was read is accounted for.
    pub fn balances(&self) -> bool {
        Some(self.read)
            == self
                .accepted
                .checked_add(self.set_aside)
                .and_then(|sum| sum.checked_add(self.duplicates))
    }

    /// Adds the rows of another input of the same kind.
    pub fn add(&mut self, other: Accounting) {
        self.read += other.read;
        self.accepted += other.accepted;
        self.set_aside += other.set_aside;
        self.duplicates += other.duplicates;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lost_row_shows() {
        let mut rows = Accounting {
            read: 5,
            accepted: 3,
            set_aside: 1,
            duplicates: 1,
        };
        assert!(rows.balances());
        rows.accepted = 2;
        assert!(!rows.balances());
    }
}
