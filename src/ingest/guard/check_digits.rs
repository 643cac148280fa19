//! Check digits and forbidden ranges of numbers that are given to persons. Knows digits, not how
//! they are separated.

use super::contact::value;

/// The check digit of an NHS number of England, Wales and the Isle of Man, and of a CHI number of
/// Scotland, modulus 11: the first nine digits times 10 down to 2, summed; 11 less the remainder;
/// 11 reads 0, and 10 makes no valid number.
///
/// Source: the steps of the NHS document `tech_nn_check_digit`, as quoted at
/// <https://thr3ads.net/search?q=tech_nn_check_digit>. That CHI uses the same weights
/// is from memory. One of eleven random numbers passes.
pub(super) fn is_nhs_number(digits: &[u8]) -> bool {
    if digits.len() != 10 || digits.iter().all(|digit| *digit == digits[0]) {
        return false;
    }
    let sum: u32 = digits[..9]
        .iter()
        .zip((2..=10).rev())
        .map(|(digit, weight)| u32::from(digit - b'0') * weight)
        .sum();
    let check = match 11 - sum % 11 {
        11 => 0,
        other => other,
    };
    check == value(&digits[9..])
}

/// The check digit of a Canadian social insurance number, nine digits, by Luhn's method: every
/// second digit doubled, the digits of the products summed, the total divisible by 10.
///
/// Source: <https://www.liquisearch.com/social_insurance_number/validation>, with the invented
/// number 046 454 286 worked out. One of ten random numbers passes.
pub(super) fn is_social_insurance_number(digits: &[u8]) -> bool {
    if digits.len() != 9 || digits.iter().all(|digit| *digit == digits[0]) {
        return false;
    }
    let sum: u32 = digits
        .iter()
        .enumerate()
        .map(|(index, digit)| {
            let digit = u32::from(digit - b'0');
            match index % 2 {
                0 => digit,
                _ if digit >= 5 => digit * 2 - 9,
                _ => digit * 2,
            }
        })
        .sum();
    sum.is_multiple_of(10)
}

/// Whether a US social security number could have these three parts: never area 000, 666 or 900
/// and above, never group 00, never serial 0000.
///
/// Source: <https://handwiki.org/wiki/Social:Social_Security_number> and the passage of the same
/// rules at <http://www.whitneyzone.com/wz/ubbthreads.php/posts/52745>; the rules of the Social
/// Security Administration themselves were not opened.
pub(super) fn is_social_security_number(area: &[u8], group: &[u8], serial: &[u8]) -> bool {
    let area = value(area);
    area != 0 && area != 666 && area < 900 && value(group) != 0 && value(serial) != 0
}

/// Whether a word is a Medicare beneficiary identifier: eleven places, `1EG4-TE5-MK73` with or
/// without hyphens; letters without S, L, O, I, B, Z, and the kind of each place fixed.
///
/// Source: the format of the Centers for Medicare & Medicaid Services, with its specimen number,
/// from memory.
pub(super) fn is_medicare_identifier(word: &[u8]) -> bool {
    let is_letter = |byte: u8| byte.is_ascii_uppercase() && !b"SLOIBZ".contains(&byte);
    let mut places = b"1ANDANDAADD".iter();
    let mut count = 0;
    for (index, byte) in word.iter().copied().enumerate() {
        if byte == b'-' && (index == 4 || index == 8) {
            continue;
        }
        let fits = match places.next() {
            Some(b'1') => byte.is_ascii_digit() && byte != b'0',
            Some(b'A') => is_letter(byte),
            Some(b'D') => byte.is_ascii_digit(),
            // `N`: either.
            Some(_) => byte.is_ascii_digit() || is_letter(byte),
            None => false,
        };
        if !fits {
            return false;
        }
        count += 1;
    }
    count == 11
}
