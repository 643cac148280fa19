//! Which piece stands on which page, how far from its top, and how small a chart is drawn so that it
//! still fits. Plain arithmetic in points, on heights alone; it knows neither text nor files.

use std::ops::Range;

/// Shares of their heights that the charts of a page are drawn at, the first that lets a chart onto
/// the page.
const SHARES: [f32; 15] = [
    1.0, 0.98, 0.96, 0.94, 0.92, 0.9, 0.88, 0.86, 0.84, 0.82, 0.8, 0.78, 0.76, 0.74, 0.72,
];

/// Sums of heights are compared with less care than this.
const HAIR: f32 = 0.005;

/// The room that a piece takes. A piece is never cut.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Extent {
    /// Space above it, which falls away at the top of a page.
    pub(super) before: f32,
    /// Its height.
    pub(super) height: f32,
    /// Part of its height that it can do without, as charts can.
    pub(super) spare: f32,
    /// Whether it may not be the last on its page.
    pub(super) keeps_next: bool,
    /// Whether it is not the last on its page unless a page is too low for all that is joined.
    pub(super) joins_next: bool,
    /// Whether it begins a page.
    pub(super) breaks_before: bool,
    /// Height of what is repeated above it where it begins a page: the head of its table.
    pub(super) repeated: f32,
}

impl Extent {
    /// The share it is drawn at on a page whose charts are drawn at `share`.
    fn drawn_at(self, share: f32) -> f32 {
        share.max(1.0 - self.spare)
    }
}

/// Where a piece stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    /// Its page, from 0.
    pub(super) page: usize,
    /// Its upper end below the top of the page.
    pub(super) top: f32,
    /// The share of its height that it is drawn at.
    pub(super) share: f32,
    /// Whether it begins its page, and what is to be repeated above it is.
    pub(super) begins_page: bool,
}

/// The places of pieces one below the other on pages of this height.
pub(super) fn places(extents: &[Extent], page_height: f32) -> Vec<Place> {
    let mut pages = Pages {
        extents,
        page_height,
        page: 0,
        standing: 0..0,
        share: SHARES[0],
        places: Vec::with_capacity(extents.len()),
    };
    for group in groups(extents, 0..extents.len(), |extent| {
        extent.keeps_next || extent.joins_next
    }) {
        pages.put_together(group);
    }
    pages.turn();
    pages.places
}

/// Parts of `range` whose pieces, but for the last, hold on to the next one.
fn groups(
    extents: &[Extent],
    range: Range<usize>,
    holds: impl Fn(&Extent) -> bool,
) -> Vec<Range<usize>> {
    let mut groups = Vec::new();
    let mut start = range.start;
    for index in range.clone() {
        if index + 1 == range.end || !holds(&extents[index]) {
            groups.push(start..index + 1);
            start = index + 1;
        }
    }
    groups
}

struct Pages<'a> {
    extents: &'a [Extent],
    page_height: f32,
    page: usize,
    /// The pieces on the page so far.
    standing: Range<usize>,
    /// The share that charts on the page are drawn at.
    share: f32,
    places: Vec<Place>,
}

impl Pages<'_> {
    /// Puts what belongs together onto the page, or onto the next. What no page can hold is put in
    /// the smaller parts that must not be parted, and what not even so fits begins where it is.
    fn put_together(&mut self, group: Range<usize>) {
        if self.extents[group.start].breaks_before {
            self.turn();
        }
        if self.puts_here(&group) {
            return;
        }
        if self.share_of(&group).is_some() {
            self.turn();
            self.puts_here(&group);
            return;
        }
        let parts = groups(self.extents, group.clone(), |extent| extent.keeps_next);
        if parts.len() > 1 {
            for part in parts {
                self.put_together(part);
            }
            return;
        }
        for index in group {
            if !self.puts_here(&(index..index + 1)) {
                self.turn();
                self.standing = index..index + 1;
            }
        }
    }

    /// Puts the group onto the page if it fits. Only for another chart are the charts of the page
    /// drawn smaller.
    fn puts_here(&mut self, group: &Range<usize>) -> bool {
        let first = if self.standing.is_empty() {
            group.start
        } else {
            self.standing.start
        };
        let whole = first..group.end;
        let has_chart = self.extents[group.clone()]
            .iter()
            .any(|extent| extent.spare > 0.0);
        let share = if has_chart {
            self.share_of(&whole)
        } else {
            self.fits(&whole, self.share).then_some(self.share)
        };
        if let Some(share) = share {
            self.standing = whole;
            self.share = share;
        }
        share.is_some()
    }

    /// The largest share at which these pieces fill no more than a page.
    fn share_of(&self, pieces: &Range<usize>) -> Option<f32> {
        SHARES.into_iter().find(|share| self.fits(pieces, *share))
    }

    fn fits(&self, pieces: &Range<usize>, share: f32) -> bool {
        let end = self.stacked(pieces, share).last().map(|(_, end)| end);
        end.is_none_or(|end| end <= self.page_height + HAIR)
    }

    /// Where each of these pieces begins and ends below the top of the page they would fill.
    fn stacked(
        &self,
        pieces: &Range<usize>,
        share: f32,
    ) -> impl Iterator<Item = (f32, f32)> + use<'_> {
        self.extents[pieces.clone()]
            .iter()
            .enumerate()
            .scan(0.0, move |end, (index, extent)| {
                let above = if index == 0 {
                    extent.repeated
                } else {
                    extent.before
                };
                let top = *end + above;
                *end = top + extent.height * extent.drawn_at(share);
                Some((top, *end))
            })
    }

    /// Gives the pieces of the page their places, and begins another page unless it has none.
    fn turn(&mut self) {
        if self.standing.is_empty() {
            return;
        }
        let standing = self.standing.clone();
        let tops = self.stacked(&standing, self.share).map(|(top, _)| top);
        let places = standing.clone().zip(tops).map(|(index, top)| Place {
            page: self.page,
            top,
            share: self.extents[index].drawn_at(self.share),
            begins_page: index == standing.start,
        });
        let places: Vec<Place> = places.collect();
        self.places.extend(places);
        self.standing = standing.end..standing.end;
        self.page += 1;
        self.share = SHARES[0];
    }
}
