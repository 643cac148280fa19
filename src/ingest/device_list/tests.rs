use super::{Mention, mentions};

/// Mentions as `word*times`, with `>` before one that surely came after the one before it.
fn told(text: &str, known: &[&str]) -> String {
    let is_known = |word: &str| known.iter().any(|known| known.eq_ignore_ascii_case(word));
    let told: Vec<String> = mentions(text, is_known)
        .map(|mention| {
            let order = if mention.sure_after_previous { ">" } else { "" };
            let times = match mention.times {
                1 => String::new(),
                times => format!("*{times}"),
            };
            format!("{order}{}{times}", mention.word)
        })
        .collect();
    told.join("|")
}

#[track_caller]
fn check(text: &str, expected: &str) {
    const KNOWN: [&str; 8] = [
        "snare",
        "net",
        "basket",
        "rat/alligator",
        "cap + suction",
        "cap",
        "suction",
        "needle, pin and glass",
    ];
    assert_eq!(told(text, &KNOWN), expected, "{text}");
}

#[test]
fn a_cell_is_cut_at_signs_and_words() {
    check("snare", "snare");
    check("  Snare ", "Snare");
    check("", "");
    check(" , ", "");
    check("snare,net;basket", "snare|net|basket");
    check(
        "snare / net | basket\nhook\r\npush",
        "snare|net|basket|hook|push",
    );
    check("snare & net and basket", "snare|net|basket");
    check("snare AND net", "snare|net");
    check("snare+net", "snare|net");
    check("sand and stand", "sand|stand");
    check("strengthen net", "strengthen net");
    check("snare or net", "snare or net");
    check("snare, , net,", "snare|net");
    check("and", "");
    check("rat-tooth - long", "rat-tooth - long");
}

#[test]
fn order_is_sure_only_where_the_text_says_so() {
    check("snare, net then basket", "snare|net|>basket");
    check("snare Then net", "snare|>net");
    check("snare, then net", "snare|>net");
    check("snare, and then net", "snare|>net");
    check("snare followed  by net", "snare|>net");
    check("snare > net", "snare|>net");
    check("snare->net", "snare|>net");
    check("snare → net ⇒ basket => cap", "snare|>net|>basket|>cap");
    check("then snare", "snare");
    check("snare (then net)", "snare|>net");
    check("followed snare", "followed snare");
    check("snare then, net", "snare|>net");
}

#[test]
fn a_numbered_list_says_the_order() {
    check("1. snare 2. net", "snare|>net");
    check("1) snare, 2) net", "snare|>net");
    check("(1) snare (2) net", "snare|>net");
    check("#1 snare #2 net", "snare|>net");
    check("1: snare\n2: net", "snare|>net");
    check("1.snare 2.net", "snare|>net");
    check("1. snare, net 2. basket", "snare|net|>basket");
    check("1. snare x2 2. net (3)", "snare*2|>net*3");
    check("1. snare 3. net", "snare 3. net");
    check("2. snare 3. net", "2. snare 3. net");
    check("1.5 cm net", "1.5 cm net");
    check("1. snare 2. 3-prong 3. net", "snare|>3-prong|>net");
    check("snare (2)", "snare*2");
}

#[test]
fn numbers_of_times_stand_on_either_side_in_many_forms() {
    for text in [
        "net x3",
        "net X3",
        "net 3x",
        "net x 3",
        "net 3 x",
        "net ×3",
        "net×3",
        "net 3×",
        "net*3",
        "net *3",
        "net (3)",
        "net(3)",
        "net (x3)",
        "net (3 x)",
        "net 3 times",
        "3x net",
        "3 x net",
        "3× net",
        "x3 net",
    ] {
        check(text, "net*3");
    }
    check("snare x2, net then 4x basket", "snare*2|net|>basket*4");
    check("net x50", "net*50");
    check("net x51", "net x51");
    check("net x0", "net x0");
    check("net x", "net x");
    check("net 3", "net 3");
    check("3-prong", "3-prong");
    check("3 prong", "3 prong");
    check("netx3", "netx3");
    check("box 3", "box 3");
    check("x3", "x3");
    check("(3)", "(3)");
    check("net (large)", "net (large)");
    check("net x99999999999999999999", "net x99999999999999999999");
}

#[test]
fn words_of_the_mapping_are_not_cut() {
    check("rat/alligator", "rat/alligator");
    check("cap + suction", "cap + suction");
    check("cap + suction x2", "cap + suction*2");
    check("2x cap + suction", "cap + suction*2");
    check("snare, cap + suction then net", "snare|cap + suction|>net");
    check("rat/alligator/net", "rat/alligator|net");
    check("cap, suction", "cap|suction");
    check(
        "needle, pin and glass then net",
        "needle, pin and glass|>net",
    );
    assert_eq!(told("3x grasper", &["3x grasper"]), "3x grasper");
    assert_eq!(
        told("1. snare 2. net", &["1. snare 2. net"]),
        "1. snare 2. net"
    );
    // The longest of several known ones.
    assert_eq!(told("a, b, c", &["a", "a, b", "a, b, c"]), "a, b, c");
    assert_eq!(told("a, b, d", &["a", "a, b", "a, b, c"]), "a, b|d");
}

#[test]
fn a_mention_shows_nothing_of_the_cell() {
    let shown: Vec<String> = mentions("Jane Doe, net", |_| false)
        .map(|mention| format!("{mention:?}"))
        .collect();
    assert_eq!(shown, ["Mention(..)", "Mention(..)"]);
}

/// Takes from a stretch between words all that may stand there.
fn is_separator(between: &str) -> bool {
    let mut rest = between.to_lowercase();
    for word in ["followed", "by", "then", "and", "times"] {
        rest = rest.replace(word, "");
    }
    rest.chars().all(|sign| {
        sign.is_whitespace() || sign.is_ascii_digit() || ",;/+&>-→=⇒|•x×*().#:".contains(sign)
    })
}

#[track_caller]
fn check_that_nothing_is_lost(text: &str, is_known: impl Fn(&str) -> bool) {
    let mut place = 0;
    for Mention { word, times, .. } in mentions(text, is_known) {
        let start = word.as_ptr() as usize - text.as_ptr() as usize;
        assert!(start >= place && !word.is_empty() && word.trim() == word);
        assert!((1..=50).contains(&times));
        assert!(is_separator(&text[place..start]), "{text}");
        place = start + word.len();
    }
    assert!(is_separator(&text[place..]), "{text}");
}

proptest::proptest! {
    #[test]
    fn no_text_is_lost(
        parts in proptest::collection::vec(
            proptest::sample::select(vec![
                "snare", "net", "rat", "é", " ", ",", ";", "/", "+", "&", "->", ">", "→", "|", "\n",
                " then ", " and ", " followed by ", "x3", "3x", "×3", "(3)", "*3", " ", "1.", "2.",
                "(1)", "(2)", "1)", "2)", "#1", "#2", "(", ")", "0", "50", "-",
            ]),
            0..14,
        ),
        modulus in 1..5_usize,
    ) {
        let text = parts.concat();
        check_that_nothing_is_lost(&text, |_| false);
        check_that_nothing_is_lost(&text, |word| word.len() % 5 == modulus);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,60}") {
        check_that_nothing_is_lost(&text, |_| false);
    }
}
