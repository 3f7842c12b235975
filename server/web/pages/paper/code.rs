//! The short code on a label: the first word of the vessel's name and three characters of its id, in the alphabet that
//! Crockford made for reading aloud (no I, L, O or U). Typed back, case and spaces and the usual slips do not matter.

use keepwell_engine::moment::Moment;

use crate::model::vessel::Vessel;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::service::Caller;
use crate::service::authorise::Deed;

const DIGITS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const MOST_LETTERS: usize = 8;

/// "EAST 7Q4".
pub fn code(vessel: &Vessel) -> String {
    format!("{} {}", word(vessel.name.as_str()), tail(vessel))
}

/// The first word of a name that has any of A to Z or a digit.
fn word(name: &str) -> String {
    let letters = |word: &str| -> String {
        let plain = word.chars().filter(char::is_ascii_alphanumeric).map(|letter| letter.to_ascii_uppercase());
        plain.take(MOST_LETTERS).collect()
    };
    name.split_whitespace().map(letters).find(|word| !word.is_empty()).unwrap_or_else(|| "V".to_owned())
}

/// Fifteen bits of the id, from its end, which is the random part of a UUID version 7.
fn tail(vessel: &Vessel) -> String {
    let bits = vessel.id.uuid().as_u128();
    let digit = |shift: u32| usize::try_from((bits >> shift) & 31).ok().and_then(|at| DIGITS.get(at)).copied();
    [10, 5, 0].into_iter().filter_map(digit).map(char::from).collect()
}

/// As it is compared: capitals and digits alone, with what is easily taken for another made the same.
fn plain(text: &str) -> String {
    let same = |letter: char| match letter.to_ascii_uppercase() {
        'O' => Some('0'),
        'I' | 'L' => Some('1'),
        letter => letter.is_ascii_alphanumeric().then_some(letter),
    };
    text.chars().filter_map(same).collect()
}

/// The vessels in use whose code that is, of those that the caller may log at. The three characters alone will do.
pub fn find<'a>(
    picture: &'a Picture,
    caller: &Caller,
    now: Moment,
    typed: &str,
) -> Vec<(&'a SitePicture, &'a VesselPicture)> {
    let typed = plain(typed);
    let means = |vessel: &Vessel| typed == plain(&code(vessel)) || typed == plain(&tail(vessel));
    let mine = picture.sites().iter().filter(|site| caller.can(Deed::Log, Some(site.site.id)));
    let all = mine.flat_map(|site| site.vessels_at(now).map(move |vessel| (&**site, vessel)));
    all.filter(|(_, vessel)| means(&vessel.vessel)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_gives_its_first_word_and_what_has_none_gives_v() {
        for (name, expected) in [
            ("East", "EAST"),
            ("Cans under the stairs", "CANS"),
            ("“No. 2” tank", "NO"),
            ("— 7", "7"),
            ("Underground cistern", "UNDERGRO"),
            ("水槽", "V"),
            ("حوض 3", "3"),
        ] {
            assert_eq!(word(name), expected, "{name}");
        }
    }

    #[test]
    fn slips_of_the_eye_and_of_the_hand_are_the_same_code() {
        for typed in ["EAST 7Q0", "east7q0", " East-7qo ", "EAST  7QO", "e a s t 7 q 0"] {
            assert_eq!(plain(typed), plain("EAST 7Q0"), "{typed}");
        }
        for typed in ["LOFT 1I1", "l0ft 11l", "IOFT 111"] {
            assert_eq!(plain(typed), plain("LOFT 111"), "{typed}");
        }
        assert_ne!(plain("EAST 7Q4"), plain("EAST 7Q5"));
    }
}
