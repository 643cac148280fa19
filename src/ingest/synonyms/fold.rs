//! Words without what exports vary at will: case, spaces, hyphens, accents, plural, British
//! spelling. Looser than the folding by which a mapping's words are compared, so only for
//! suggestions.

/// British beginnings and our own.
const SPELLINGS: &[(&str, &str)] = &[
    ("oesoph", "esoph"),
    ("haem", "hem"),
    ("aem", "em"),
    ("melaen", "melen"),
    ("anaesth", "anesth"),
    ("paed", "ped"),
    ("theatre", "theater"),
    ("apnoea", "apnea"),
];

/// The text in lowercase words with one space between them. Signs between the items of a list
/// become commas, `+ % ?` and tick marks stay, all others become spaces.
pub(in crate::ingest) fn fold(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    let mut previous = ' ';
    while let Some(character) = characters.next() {
        match character {
            '&' => plain.push_str(" and "),
            '+' | '?' => plain.extend([' ', character, ' ']),
            ',' | ';' | '|' | '>' | '→' | '\n' => plain.push_str(" , "),
            '.' => {
                // "E.D." is one word, "1.0" a number.
                let is_decimal = previous.is_ascii_digit()
                    && characters.peek().is_some_and(char::is_ascii_digit);
                if is_decimal {
                    plain.push('.');
                }
            }
            // Apostrophes, and what nobody sees: combining accents, zero-width signs.
            '\''
            | '’'
            | '‘'
            | '`'
            | '\u{300}'..='\u{36f}'
            | '\u{200b}'..='\u{200d}'
            | '\u{ad}'
            | '\u{feff}' => {}
            '%' | '✓' | '✔' | '☑' | '☒' | '☐' => plain.push(character),
            _ if character.is_alphanumeric() => {
                for lowercase in character.to_lowercase() {
                    push_without_accent(lowercase, &mut plain);
                }
            }
            _ => plain.push(' '),
        }
        previous = character;
    }
    for (british, our) in SPELLINGS {
        if plain.contains(british) {
            plain = plain.replace(british, our);
        }
    }
    let mut folded = String::with_capacity(plain.len());
    for token in plain.split_whitespace() {
        if !folded.is_empty() {
            folded.push(' ');
        }
        push_singular(token, &mut folded);
    }
    folded
}

/// A folded text without its commas, for columns in which one cell tells of one thing.
pub(super) fn without_commas(folded: &str) -> String {
    let tokens: Vec<&str> = folded.split(' ').filter(|token| *token != ",").collect();
    tokens.join(" ")
}

fn push_without_accent(letter: char, plain: &mut String) {
    let base = match letter {
        'à'..='å' | 'ā' => "a",
        'æ' => "ae",
        'ç' => "c",
        'è'..='ë' | 'ē' => "e",
        'ì'..='ï' => "i",
        'ñ' => "n",
        'ò'..='ö' | 'ø' | 'ō' => "o",
        'œ' => "oe",
        'ß' => "ss",
        'ù'..='ü' | 'ū' => "u",
        'ý' | 'ÿ' => "y",
        _ => {
            plain.push(letter);
            return;
        }
    };
    plain.push_str(base);
}

/// Takes the ending of a plural off. It need not be right, only the same for the words of the
/// table and those of an export: "forceps" loses its s in both.
fn push_singular(token: &str, folded: &mut String) {
    let length = token.chars().count();
    let ends = |endings: &[&str]| endings.iter().any(|ending| token.ends_with(ending));
    if length > 4 && token.ends_with("ies") {
        folded.push_str(&token[..token.len() - 3]);
        folded.push('y');
    } else if (length > 4 && ends(&["sses", "xes", "ches", "shes"]))
        || (length > 5 && token.ends_with("uses"))
    {
        folded.push_str(&token[..token.len() - 2]);
    } else if length > 3 && token.ends_with('s') && !ends(&["ss", "us", "is"]) {
        folded.push_str(&token[..token.len() - 1]);
    } else {
        folded.push_str(token);
    }
}

#[cfg(test)]
mod tests {
    use super::{fold, without_commas};

    #[test]
    fn words_are_compared_without_what_exports_vary_at_will() {
        for (text, folded) in [
            ("  Rat_Tooth\u{a0}- ", "rat tooth"),
            ("Œsophagus", "esophagus"),
            ("OESOPHAGEAL", "esophageal"),
            ("hæmorrhage", "hemorrhage"),
            ("hypoxaemia", "hypoxemia"),
            ("A&E", "a and e"),
            ("E.D.", "ed"),
            ("1.0", "1.0"),
            ("1.", "1"),
            ("cap+suction", "cap + suction"),
            ("bone?", "bone ?"),
            ("batteries", "battery"),
            ("boluses", "bolus"),
            ("glasses", "glass"),
            ("stenosis", "stenosis"),
            ("can’t", "cant"),
            ("cafe\u{301}", "cafe"),
            ("- /", ""),
            ("Snare,net\nbasket", "snare , net , basket"),
        ] {
            assert_eq!(fold(text), folded, "{text}");
        }
        assert_eq!(
            without_commas(&fold("Esophagus, distal,")),
            "esophagus distal"
        );
    }
}
