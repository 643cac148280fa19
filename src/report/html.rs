//! Content to HTML. The only file that writes markup; every text goes through the escaping of the
//! template engine, except the style sheet and the charts, which are our own.

use super::content::{Block, Cell, Figure, Section, Table};
use super::draw;
use super::page::Page;
use super::parts::Part;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Nothing may be loaded from anywhere, and no script may run.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";
const STYLE: &str = include_str!("style.css");

/// The whole document. The first page comes before the list of contents, so that a phone opens on it
/// too; wide screens have the list at the side.
pub(super) fn document(page: &Page) -> String {
    let (title, sections) = (&page.title, &page.sections);
    let (first, rest) = sections.split_at(sections.len().min(1));
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                a.skip href="#main" { "Skip to the report" }
                header {
                    h1 { (title) }
                    p.lead { (page.lead) }
                }
                main id="main" {
                    @for part in first {
                        (section(part, None, &html! {
                            p.pointer {
                                "Before acting on any of this, read the "
                                a href="#cautions" { "cautions" } ". How each number is defined: "
                                a href="#definitions" { "definitions" } " and "
                                a href="#methods" { "methods" } "."
                            }
                        }))
                    }
                    (contents(sections))
                    @for (index, part) in rest.iter().enumerate() {
                        (section(part, opens(sections, index + 1), &html! {}))
                    }
                }
                footer {
                    p { "scopetally " (page.tool_version)
                        @if let Some(date) = &page.made_on { ", " (date) } }
                }
            }
        }
    }
    .into_string()
}

/// The part that the section at `index` opens; `None` within a part.
fn opens(sections: &[Section], index: usize) -> Option<Part> {
    let part = |index: usize| Part::of(sections.get(index)?.id);
    part(index).filter(|_| index == 0 || part(index - 1) != part(index))
}

fn contents(sections: &[Section]) -> Markup {
    let grouped = Part::ALL.into_iter().map(|part| {
        let of_part = sections
            .iter()
            .filter(move |section| Part::of(section.id) == Some(part));
        (part.name(), of_part.collect::<Vec<_>>())
    });
    html! {
        nav aria-label="Contents" {
            @for (name, sections) in grouped.filter(|(_, sections)| !sections.is_empty()) {
                p { (name) }
                ul {
                    @for section in sections {
                        li { a href={ "#" (section.id) } { (section.heading) } }
                    }
                }
            }
        }
    }
}

fn section(section: &Section, opens: Option<Part>, end: &Markup) -> Markup {
    let heading_id = format!("{}-heading", section.id);
    html! {
        section id=(section.id) aria-labelledby=(heading_id) {
            @if let Some(part) = opens { p.part { (part.name()) } }
            h2 id=(heading_id) { (section.heading) }
            @for block in &section.blocks { (self::block(block)) }
            (end)
        }
    }
}

fn block(block: &Block) -> Markup {
    match block {
        Block::Text(text) => html! { p { (text) } },
        Block::Caution(text) => html! { p.caution { (text) } },
        Block::Heading(text) => html! { h3 { (text) } },
        Block::List(lines) => html! { ul { @for line in lines { li { (line) } } } },
        Block::Terms(terms) => html! {
            dl {
                @for (term, lines) in terms {
                    div {
                        dt { (term) }
                        @for line in lines { dd { (line) } }
                    }
                }
            }
        },
        Block::Table(table) => self::table(table),
        Block::Figure(figure) => self::figure(figure),
    }
}

fn table(table: &Table) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(table.caption) {
            table {
                caption { (table.caption) }
                thead {
                    tr { @for column in &table.columns { th scope="col" { (column) } } }
                }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (index, cell) in row.iter().enumerate() {
                                @if index == 0 {
                                    th scope="row" { (self::cell(cell)) }
                                } @else {
                                    td { (self::cell(cell)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn cell(cell: &Cell) -> Markup {
    html! {
        (cell.text)
        @for detail in &cell.details { span.detail { (detail) } }
    }
}

fn figure(figure: &Figure) -> Markup {
    let alternative = html! { (figure.alternative) }.into_string();
    html! {
        figure {
            p.question { (figure.chart.title) }
            div.chart tabindex="0" role="region" aria-label=(figure.chart.title) {
                (PreEscaped(draw::inline_svg(&figure.chart, &alternative)))
            }
            figcaption { (figure.caption) }
            details {
                summary { "The numbers behind this chart" }
                (self::table(&figure.table))
            }
        }
    }
}
