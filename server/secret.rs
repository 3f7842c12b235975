//! Passwords and tokens: made, hashed, compared. Passwords by Argon2id, slow on purpose and never more than two at
//! once, since each takes 19 MiB; tokens are random, so a plain SHA-256 is enough to keep them by.

use argon2::Algorithm;
use argon2::Argon2;
use argon2::Block;
use argon2::Params;
use argon2::Version;
use argon2::password_hash;
use argon2::password_hash::CustomizedPasswordHasher;
use argon2::password_hash::PasswordHasher;
use argon2::password_hash::PasswordVerifier;
use argon2::password_hash::phc::Output;
use argon2::password_hash::phc::ParamsString;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::phc::Salt;
use sha2::Digest;
use sha2::Sha256;
use tokio::sync::Semaphore;

/// Argon2id: 19 456 KiB, two passes, one lane (OWASP, Password Storage Cheat Sheet: m=19456, t=2, p=1).
const MEMORY_KIB: u32 = 19_456;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// Room asked for at least, in blocks of 1 KiB; what is not needed of it is never touched. The system's allocator hands
/// back at once what is larger than 32 MiB. Smaller pieces it keeps, for every thread that ever reckoned a password.
const ROOM_BLOCKS: usize = 34 * 1024;

const AT_ONCE: usize = 2;
const QUEUE: usize = 20;

/// Those being reckoned and those that wait for it.
static IN_LINE: Semaphore = Semaphore::const_new(AT_ONCE + QUEUE);
static AT_WORK: Semaphore = Semaphore::const_new(AT_ONCE);

/// Shorter is refused.
pub const SHORTEST_CHARACTERS: usize = 8;
/// Longer is refused, so that nobody has us hash a book.
pub const LONGEST_CHARACTERS: usize = 1000;

/// The 3,000 commonest passwords of eight characters or more (OWASP ASVS 5.0, 6.2.4), from the frequency list of the
/// library zxcvbn 4.5.0 (MIT, Copyright (c) 2016 Daniel Wolf), and some of our own.
const COMMON: &str = include_str!("common_passwords.txt");

#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// Two are being reckoned and twenty wait: try again in a moment.
    #[error("too many passwords are being checked at once")]
    Busy,
    /// Not a hash of ours.
    #[error("a stored password hash cannot be read: {0}")]
    Hash(String),
    #[error("the system gives no random numbers: {0}")]
    Random(getrandom::Error),
    #[error("the password work was cut off: {0}")]
    CutOff(String),
}

/// Why a password is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Weak {
    #[error("a password has at least {SHORTEST_CHARACTERS} characters")]
    TooShort,
    #[error("a password has at most {LONGEST_CHARACTERS} characters")]
    TooLong,
    #[error("this is one of the passwords that are tried first; choose another")]
    Common,
}

/// Whether a new password may be taken. Length is all that is asked, and that it is not among the commonest.
///
/// # Errors
/// Why not.
pub fn acceptable(password: &str) -> Result<(), Weak> {
    let length = password.chars().count();
    if length < SHORTEST_CHARACTERS {
        Err(Weak::TooShort)
    } else if length > LONGEST_CHARACTERS {
        Err(Weak::TooLong)
    } else if COMMON.lines().any(|common| common.eq_ignore_ascii_case(password.trim())) {
        Err(Weak::Common)
    } else {
        Ok(())
    }
}

/// The PHC string to keep: it names its own parameters and salt.
///
/// # Errors
/// Busy, or the system gives no random salt.
pub async fn hash_password(password: String) -> Result<String, Error> {
    in_turn(move || {
        let hash = Slow.hash_password(password.as_bytes()).map_err(|cause| Error::Hash(cause.to_string()))?;
        Ok(hash.to_string())
    })
    .await
}

/// Whether the password is the one that was hashed. Where there is no such person, hash the password all the same, so
/// that the time taken does not tell.
///
/// # Errors
/// Busy, or what was stored is not a hash.
pub async fn verify_password(password: String, hash: String) -> Result<bool, Error> {
    in_turn(move || {
        let hash = PasswordHash::new(&hash).map_err(|cause| Error::Hash(cause.to_string()))?;
        match Slow.verify_password(password.as_bytes(), &hash) {
            Ok(()) => Ok(true),
            Err(argon2::password_hash::Error::PasswordInvalid) => Ok(false),
            Err(cause) => Err(Error::Hash(cause.to_string())),
        }
    })
    .await
}

/// Waits for a turn, if the queue is not full, and works away from the threads that serve pages. The turn is given back
/// when the work ends, even if nobody waits for it any more.
async fn in_turn<T: Send + 'static>(work: impl FnOnce() -> Result<T, Error> + Send + 'static) -> Result<T, Error> {
    let in_line = IN_LINE.try_acquire().map_err(|_| Error::Busy)?;
    let at_work = AT_WORK.acquire().await.map_err(|_| Error::Busy)?;
    let done = tokio::task::spawn_blocking(move || {
        let done = work();
        drop((in_line, at_work));
        done
    });
    done.await.map_err(|cause| Error::CutOff(cause.to_string()))?
}

/// Argon2 in memory that goes back to the system when it is done.
struct Slow;

impl CustomizedPasswordHasher<PasswordHash> for Slow {
    type Params = Params;

    fn hash_password_customized(
        &self,
        password: &[u8],
        salt: &[u8],
        algorithm: Option<&str>,
        version: Option<u32>,
        params: Params,
    ) -> password_hash::Result<PasswordHash> {
        let algorithm = algorithm.map(Algorithm::try_from).transpose()?.unwrap_or_default();
        let version = version.map(Version::try_from).transpose()?.unwrap_or_default();
        let salt = Salt::new(salt)?;
        let mut output = vec![0; params.output_len().unwrap_or(Params::DEFAULT_OUTPUT_LEN)];
        let mut memory = Vec::with_capacity(params.block_count().max(ROOM_BLOCKS));
        memory.resize(params.block_count(), Block::new());
        let text = ParamsString::try_from(&params)?;
        Argon2::new(algorithm, version, params).hash_password_into_with_memory(
            password,
            &salt,
            &mut output,
            &mut memory,
        )?;
        Ok(PasswordHash {
            algorithm: algorithm.ident(),
            version: Some(version.into()),
            params: text,
            salt: Some(salt),
            hash: Some(Output::new(&output)?),
        })
    }
}

impl PasswordHasher<PasswordHash> for Slow {
    fn hash_password_with_salt(&self, password: &[u8], salt: &[u8]) -> password_hash::Result<PasswordHash> {
        let params = Params::new(MEMORY_KIB, PASSES, LANES, None)?;
        let (algorithm, version) = (Algorithm::Argon2id, Version::V0x13);
        self.hash_password_customized(password, salt, Some(algorithm.as_str()), Some(version.into()), params)
    }
}

/// A new session or link token: 32 random bytes in hexadecimal.
///
/// # Errors
/// The system gives no random numbers.
pub fn new_token() -> Result<String, Error> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).map_err(Error::Random)?;
    Ok(bytes
        .iter()
        .flat_map(|byte| [byte >> 4, byte & 15])
        .filter_map(|half| char::from_digit(half.into(), 16))
        .collect())
}

/// What a token is kept by: who reads the database cannot sign in with it.
#[must_use]
pub fn digest(token: &str) -> [u8; 32] {
    Sha256::digest(token.as_bytes()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_password_is_known_again_and_another_is_not() {
        let hash = hash_password("four wet boots".to_owned()).await.unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
        assert!(verify_password("four wet boots".to_owned(), hash.clone()).await.unwrap());
        assert!(!verify_password("four wet boot".to_owned(), hash.clone()).await.unwrap());
        assert_ne!(hash_password("four wet boots".to_owned()).await.unwrap(), hash, "the salt is new each time");
        assert!(matches!(verify_password("x".to_owned(), "plain".to_owned()).await, Err(Error::Hash(_))));
    }

    /// A hash by the `argon2` crate's own way is known here, and ours there: only where the memory comes from differs.
    #[test]
    fn hashes_are_those_of_the_crate() {
        let theirs = Argon2::default().hash_password_with_salt(b"four wet boots", b"0123456789abcdef").unwrap();
        let ours = Slow.hash_password_with_salt(b"four wet boots", b"0123456789abcdef").unwrap();
        assert_eq!(ours, theirs);
        assert_eq!(Slow.verify_password(b"four wet boots", &theirs), Ok(()));
        assert!(Slow.verify_password(b"four wet boot", &theirs).is_err());
    }

    #[test]
    fn short_endless_and_common_passwords_are_refused() {
        assert_eq!(acceptable("1234567"), Err(Weak::TooShort));
        assert_eq!(acceptable(&"é".repeat(7)), Err(Weak::TooShort), "characters are counted, not bytes");
        assert_eq!(acceptable(&"é".repeat(8)), Ok(()));
        assert_eq!(acceptable("Password123"), Err(Weak::Common));
        assert_eq!(acceptable(&"a".repeat(64)), Ok(()));
        assert_eq!(acceptable(&"a".repeat(1001)), Err(Weak::TooLong));
    }

    #[test]
    fn every_common_password_is_one_that_length_alone_would_take() {
        assert!(COMMON.lines().all(|common| common.chars().count() >= SHORTEST_CHARACTERS && common == common.trim()));
        assert!(COMMON.lines().count() >= 3000);
    }

    #[test]
    fn tokens_are_long_and_never_twice_the_same() {
        let (one, other) = (new_token().unwrap(), new_token().unwrap());
        assert!(one.len() == 64 && one.bytes().all(|byte| byte.is_ascii_hexdigit()));
        assert_ne!(one, other);
    }

    /// FIPS 180-2, appendix B.1: SHA-256 of "abc".
    #[test]
    fn the_digest_is_sha_256() {
        assert_eq!(digest("abc")[..8], [0xba, 0x78, 0x16, 0xbf, 0x8f, 0x01, 0xcf, 0xea]);
    }
}
