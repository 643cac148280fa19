//! Codes of places on a roster and of carts, told from names of persons. There is no list of
//! names, so a role has to be made of words that are known to be none.

/// Longest code, in characters.
const LONGEST: usize = 20;

/// Most digits of a role: places on a roster are few, numbers of staff are long.
const MOST_DIGITS: usize = 3;

/// Words for what somebody does. Each alone is a role.
const JOBS: &str = "\
    nurse rn en lpn lvn cna hca sister matron endoscopist gastroenterologist hepatologist \
    surgeon physician doctor md mbbs np crna attending consultant registrar resident intern \
    houseofficer sho spr trainee specialist practitioner technician technologist tech assistant \
    aide orderly anesthesia anaesthesia anesthetics anaesthetics anesthesiologist \
    anaesthesiologist anesthetist anaesthetist odp oda coordinator supervisor manager circulator \
    perfusionist radiographer radiologist pharmacist paramedic therapist team nurses endonurse \
    chargenurse headnurse scrubnurse pflege pflegekraft arzt aerztin oberarzt facharzt \
    assistenzarzt endoskopiker medecin infirmier infirmiere anesthesiste medico enfermero \
    enfermera infermiere endoscopista anestesista verpleegkundige";

/// Words beside a job or a number. Some are surnames too, so none is a role alone.
const BESIDE: &str = "\
    endoscopy endo gi gastro gastroenterology hepatology surgery surgical medical bleed bleeder \
    bleeding emergency er ed ae or icu itu theatre theater ward unit staff member role place \
    position post slot seat line first second third fourth primary secondary on call oncall duty \
    onduty standby backup back up float scrub circulating charge head chief lead leader senior \
    junior deputy fellow house officer student day night late early evening weekend weekday \
    holiday adult pediatric paediatric peds paeds pa dr st pgy fy porter transport driver \
    decontamination reprocessing sterile support care health healthcare worker one two three \
    four endoskopie dienst main north south east west";

/// Words for carts, and where they stand.
const CARTS: &str = "\
    cart carts trolley crash emergency endoscopy endo scope gi bleed bleeding kit box tower \
    stack mobile travel main backup ward floor unit room bay lab or er ed ae icu theatre theater \
    north south east west upper lower adult pediatric paediatric";

/// Whether a text is the code of a place on a roster: known words of roles, one single letter at most
/// (two are initials) and up to three digits, with `_` or `-` between them, and among them a job or
/// a digit. `nurse_1`, `RN2` and
/// `endoscopist-a` are; a surname is not, whatever stands beside it.
pub(super) fn is_role_code(text: &str) -> bool {
    let Some(parts) = parts(text) else {
        return false;
    };
    let has_word = |words: &str, part: &str| {
        let singular = part.strip_suffix('s').unwrap_or(part);
        holds(words, part) || holds(words, singular)
    };
    let is_job = |part: &String| has_word(JOBS, part);
    let is_known = |part: &String| {
        is_number(part) || part.len() == 1 || is_job(part) || has_word(BESIDE, part)
    };
    let letters = parts
        .iter()
        .filter(|part| part.len() == 1 && !is_number(part));
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    digits <= MOST_DIGITS
        && letters.count() <= 1
        && parts.iter().all(is_known)
        && parts.iter().any(|part| is_number(part) || is_job(part))
}

/// Whether a text is the code of a cart: it has a digit, a word for carts or a single letter in it.
/// Nobody is told by a cart, so any word may stand beside.
pub(super) fn is_cart_code(text: &str) -> bool {
    let tells = |part: &String| is_number(part) || part.len() == 1 || holds(CARTS, part);
    parts(text).is_some_and(|parts| parts.iter().any(tells))
}

fn holds(words: &str, word: &str) -> bool {
    words.split(' ').any(|known| known == word)
}

fn is_number(part: &str) -> bool {
    part.bytes().all(|byte| byte.is_ascii_digit())
}

/// The words and numbers of a code in small letters; `None` for a text with other signs or one that
/// is too long. A capital behind a small letter begins a word: `NurseA`.
fn parts(text: &str) -> Option<Vec<String>> {
    let is_sign = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-');
    if text.len() > LONGEST || !text.bytes().all(is_sign) {
        return None;
    }
    let mut parts: Vec<String> = vec![String::new()];
    let mut before = '_';
    for letter in text.chars() {
        let begins = letter.is_ascii_digit() != before.is_ascii_digit()
            || (before.is_ascii_lowercase() && letter.is_ascii_uppercase());
        if begins || matches!(letter, '_' | '-') {
            parts.push(String::new());
        }
        if letter.is_ascii_alphanumeric()
            && let Some(part) = parts.last_mut()
        {
            part.push(letter.to_ascii_lowercase());
        }
        before = letter;
    }
    parts.retain(|part| !part.is_empty());
    Some(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roles_are_made_of_known_words_and_few_digits() {
        let roles = "\
            nurse_1 nurse Nurse NURSE-2 nurses_3 RN1 rn-12 GI-RN-3 EndoRN1 NurseA nurse_a \
            endoscopist_2 Endoscopist-B gi_fellow_1 anesthesia anaesthetist_1 CRNA2 tech1 \
            technician-on-call backup_rn first-call-endo-1 N1 A2 1 12 st4_endo porter_1 team_a MD-2 \
            senior_registrar pgy3 oncall2 pflege_1 Oberarzt";
        for role in roles.split(' ') {
            assert!(is_role_code(role), "{role}");
        }
    }

    #[test]
    fn surnames_staff_numbers_and_sentences_are_no_roles() {
        let texts = "\
            |_|--|smith|Smith|smith_1|Smith-2|okafor3|rn_smith|nurse_smith|nurse-jones-1|\
            dr_lee|DrLee1|jsmith1|smithj2|ng1|li_2|kim|Do|do_1|O'Brien|m\u{fc}ller1|\
            Nurse Jones|nurse 1|porter|Ward|Day|ed|a|J-W|j-s-1|night|rn_4821|1234567|12-34|\
            nurse_1_nurse_2_nurse|okafor, n|n.okafor|nurse\t1|role|\u{2161}";
        for text in texts.split('|') {
            assert!(!is_role_code(text), "{text}");
        }
    }

    #[test]
    fn carts_have_a_digit_or_a_word_of_their_own() {
        for cart in [
            "cart_1",
            "EC-01",
            "Trolley-A",
            "endo_cart",
            "004512",
            "B",
            "alder2",
        ] {
            assert!(is_cart_code(cart), "{cart}");
        }
        for text in [
            "",
            "-",
            "Smith",
            "ngozi_okafor",
            "cart 1",
            "the-cart-behind-the-door-1",
        ] {
            assert!(!is_cart_code(text), "{text}");
        }
    }

    #[test]
    fn no_word_stands_twice() {
        let mut words: Vec<_> = JOBS.split(' ').chain(BESIDE.split(' ')).collect();
        words.sort_unstable();
        assert!(words.windows(2).all(|pair| pair[0] != pair[1]));
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,30}") {
            let _ = (is_role_code(&text), is_cart_code(&text));
        }
    }
}
