//! Which piece stands on which page, and how far from its top. Plain arithmetic in points, on heights
//! alone; it knows neither text nor files.

/// The room that a piece takes. A piece is never cut.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Extent {
    /// Space above it, which falls away at the top of a page.
    pub(super) before: f32,
    /// Its height.
    pub(super) height: f32,
    /// Whether it may not be the last on its page.
    pub(super) keeps_next: bool,
    /// Whether it begins a page.
    pub(super) breaks_before: bool,
    /// Height of what is repeated above it where it begins a page: the head of its table.
    pub(super) repeated: f32,
}

impl Extent {
    fn at_top(self) -> f32 {
        self.repeated + self.height
    }

    fn below_others(self) -> f32 {
        self.before + self.height
    }
}

/// Where a piece stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    /// Its page, from 0.
    pub(super) page: usize,
    /// Its upper end below the top of the page.
    pub(super) top: f32,
    /// Whether it begins its page, and what is to be repeated above it is.
    pub(super) begins_page: bool,
}

/// The places of pieces one below the other on pages of this height.
pub(super) fn places(extents: &[Extent], page_height: f32) -> Vec<Place> {
    let mut pages = Pages {
        page_height,
        page: 0,
        filled: 0.0,
        places: Vec::with_capacity(extents.len()),
    };
    let mut rest = extents;
    while let Some(first) = rest.first() {
        let joined = rest.iter().take_while(|extent| extent.keeps_next).count();
        let (group, others) = rest.split_at((joined + 1).min(rest.len()));
        if pages.filled > 0.0 && (first.breaks_before || pages.must_move(group)) {
            pages.turn();
        }
        for extent in group {
            pages.put(*extent);
        }
        rest = others;
    }
    pages.places
}

struct Pages {
    page_height: f32,
    page: usize,
    filled: f32,
    places: Vec<Place>,
}

impl Pages {
    /// Whether the group goes to the next page as a whole. One that no page can hold starts where it
    /// is.
    fn must_move(&self, group: &[Extent]) -> bool {
        let (first, others) = group.split_first().expect("a group has a piece");
        let others: f32 = others.iter().map(|extent| extent.below_others()).sum();
        let fits_here = self.filled + first.below_others() + others <= self.page_height;
        !fits_here && first.at_top() + others <= self.page_height
    }

    fn put(&mut self, extent: Extent) {
        if self.filled > 0.0 && self.filled + extent.below_others() > self.page_height {
            self.turn();
        }
        let begins_page = self.filled <= 0.0;
        let above = if begins_page {
            extent.repeated
        } else {
            extent.before
        };
        let top = self.filled + above;
        self.places.push(Place {
            page: self.page,
            top,
            begins_page,
        });
        self.filled = top + extent.height;
    }

    fn turn(&mut self) {
        self.page += 1;
        self.filled = 0.0;
    }
}
