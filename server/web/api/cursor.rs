//! Where a list goes on. A cursor holds the last id that was answered, and a check over it, the list and the question, so
//! that one from another list, another server's making or a slip of the pen is told from ours. It is good for ever: it
//! names a thing, not a place in memory. It opens nothing: what a client may see is asked of every page anew.

use sha2::Digest;
use sha2::Sha256;
use uuid::Uuid;

use crate::web::error::Error;

/// Characters of the check.
const CHECK: usize = 8;

/// The cursor behind `last` in a list; `list` names the list and what was asked of it.
#[must_use]
pub fn after(list: &str, last: Uuid) -> String {
    format!("{}{}", last.simple(), check(list, last))
}

/// The id that a cursor stands behind.
///
/// # Errors
/// It is not of this list.
pub fn read(list: &str, cursor: &str) -> Result<Uuid, Error> {
    let (id, given) = cursor.split_at_checked(32).ok_or(Error::ForeignCursor)?;
    let id = Uuid::try_parse(id).map_err(|_| Error::ForeignCursor)?;
    if check(list, id) == given { Ok(id) } else { Err(Error::ForeignCursor) }
}

fn check(list: &str, last: Uuid) -> String {
    let digest = Sha256::new().chain_update(list).chain_update([0]).chain_update(last.as_bytes()).finalize();
    digest
        .iter()
        .flat_map(|byte| [byte >> 4, byte & 15])
        .filter_map(|half| char::from_digit(half.into(), 16))
        .take(CHECK)
        .collect()
}

/// The address of a list from its next page on.
#[must_use]
pub fn next(path: &str, question: &[(&str, String)], cursor: &str) -> String {
    let mut next = format!("{path}?");
    for (name, value) in question {
        next.push_str(&format!("{name}={value}&"));
    }
    next.push_str(&format!("after={cursor}"));
    next
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_is_known_again_and_another_is_not() {
        // An id whose check has a letter, which a capital is told from.
        let lettered = |id: &Uuid| check("sites", *id).contains(char::is_alphabetic);
        let id = (1..).map(Uuid::from_u128).find(lettered).unwrap();
        let cursor = after("sites", id);
        assert_eq!(read("sites", &cursor).unwrap(), id);
        for wrong in ["", "x", &cursor[..39], &format!("{cursor}0"), &cursor.to_uppercase(), &"é".repeat(20)] {
            assert!(matches!(read("sites", wrong), Err(Error::ForeignCursor)), "{wrong}");
        }
        assert!(matches!(read("vessels", &cursor), Err(Error::ForeignCursor)));
        let other = after("sites", Uuid::now_v7());
        assert!(read("sites", &format!("{}{}", &cursor[..32], &other[32..])).is_err());
    }
}
