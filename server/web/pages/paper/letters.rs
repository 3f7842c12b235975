//! How a vessel is written on a log sheet: by as few letters as tell it from the others of its site.
//!
//! Every vessel that ever stood there keeps its letters: one that is taken away, or comes later, must not pass its mark on
//! to another while a filled sheet is still waiting to be typed in.

use crate::picture::SitePicture;
use crate::picture::VesselPicture;

/// Longer beginnings give way to a letter and a number.
const LONGEST: usize = 3;

/// The vessels of a site, each with its letters; the order is that in which they were set up.
pub fn letters(site: &SitePicture) -> Vec<(String, &VesselPicture)> {
    let mut vessels: Vec<&VesselPicture> = site.vessels.iter().collect();
    vessels.sort_by_key(|vessel| vessel.vessel.id);
    let names: Vec<&str> = vessels.iter().map(|vessel| vessel.vessel.name.as_str()).collect();
    of_names(&names).into_iter().zip(vessels).collect()
}

fn of_names(names: &[&str]) -> Vec<String> {
    let plain: Vec<Vec<char>> = names.iter().map(|name| capitals(name)).collect();
    let short = |at: usize| {
        (1..=LONGEST.min(plain[at].len()))
            .map(|length| &plain[at][..length])
            .find(|beginning| plain.iter().enumerate().all(|(other, name)| other == at || !name.starts_with(beginning)))
    };
    let mut found: Vec<Option<String>> = (0..plain.len()).map(|at| short(at).map(|it| it.iter().collect())).collect();
    for at in 0..found.len() {
        if found[at].is_none() {
            let first = plain[at].first().copied().unwrap_or('V');
            let free = (1_u32..).map(|number| format!("{first}{number}")).find(|it| !found.contains(&Some(it.clone())));
            found[at] = free;
        }
    }
    found.into_iter().flatten().collect()
}

/// Letters and digits of a name, as they are compared.
pub fn capitals(text: &str) -> Vec<char> {
    text.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_few_letters_as_tell_them_apart() {
        assert_eq!(of_names(&["West", "East", "North"]), ["W", "E", "N"]);
        assert_eq!(of_names(&["Tank", "Tote", "Drum"]), ["TA", "TO", "D"]);
        assert_eq!(of_names(&["Loft"]), ["L"]);
    }

    #[test]
    fn names_alike_have_numbers_that_are_nobody_elses() {
        assert_eq!(of_names(&["Cans", "Cans", "Cans under the stairs"]), ["C1", "C2", "C3"]);
        assert_eq!(of_names(&["Cans A", "C1", "Cans B"]), ["C2", "C1", "C3"]);
        assert_eq!(of_names(&["水槽一", "水槽二"]), ["水槽一", "水槽二"]);
        assert_eq!(of_names(&["!", "?"]), ["V1", "V2"]);
    }

    #[test]
    fn one_that_comes_later_does_not_move_a_number() {
        let before = of_names(&["Cans A", "Cans B"]);
        let after = of_names(&["Cans A", "Cans B", "Cans 0"]);
        assert_eq!(before[..], after[..2]);
    }
}
