//! Tokens for programs: made and revoked by the coordinator, shown once, kept by their hash, and what one is good for
//! when it comes in.

use std::sync::Arc;
use std::sync::PoisonError;

use crate::model::id::SiteId;
use crate::model::id::TokenId;
use crate::model::name::Name;
use crate::model::person::Role;
use crate::model::setup::Kept;
use crate::model::setup::Thing;
use crate::model::token::Token;
use crate::secret;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::set_up;

/// How the secret of a token begins, so that a person, or a program that looks for leaked secrets, knows one on sight.
pub const PREFIX: &str = "kwt_";

/// What is asked for in a new token.
#[derive(Clone, Debug)]
pub struct NewToken {
    /// made by whoever asks, so that the same wish sent again makes no second token
    pub id: TokenId,
    pub name: Name,
    pub role: Role,
    pub sites: Vec<SiteId>,
}

/// Who came in by a token.
#[derive(Clone, Debug)]
pub struct Bearer {
    pub token: Arc<Token>,
    pub caller: Caller,
}

impl App {
    /// Makes a token that acts in the caller's name, and its secret, which is told this once.
    ///
    /// # Errors
    /// Not the caller's to make; a site that is not there; [`Error::IdTaken`] if one of that id was made before.
    pub async fn make_token(&self, caller: &Caller, new: NewToken) -> Result<(Kept<Token>, String), Error> {
        caller.may(Deed::Coordinate, None)?;
        let person = caller.id().ok_or(Error::SignInNeeded)?;
        let NewToken { id, name, role, sites } = new;
        let token = Token { id, name, role, sites, person, made: self.clock.now(), ended: None };
        let set_up = Arc::clone(&self.picture().set_up);
        if set_up.tokens.contains_key(&id) {
            return Err(Error::IdTaken);
        }
        let problems = set_up::check(&set_up, &Thing::Token(token.clone()));
        if !problems.is_empty() {
            return Err(Error::Invalid(problems));
        }
        let secret = format!("{PREFIX}{}", secret::new_token()?);
        let revision = self.store.add_token(token.clone(), secret::digest(&secret), Some(person)).await?;
        tracing::info!(token = %id, %person, "a token was made");
        Ok((Kept { thing: Arc::new(token), revision }, secret))
    }

    /// Revokes a token: it is good no more, from the next request on. One that is revoked already stays so.
    ///
    /// # Errors
    /// Not the caller's to revoke; there is none of that id.
    pub async fn revoke_token(&self, caller: &Caller, id: TokenId) -> Result<(), Error> {
        let kept = self.token(caller, id)?;
        if kept.thing.ended.is_none() {
            let ended = Token { ended: Some(self.clock.now()), ..Token::clone(&kept.thing) };
            self.keep(caller, Thing::Token(ended), Some(kept.revision)).await?;
            tracing::info!(token = %id, "a token was revoked");
        }
        Ok(())
    }

    /// A token, without its secret, revoked or not.
    ///
    /// # Errors
    /// Not the caller's to see; there is none of that id.
    pub fn token(&self, caller: &Caller, id: TokenId) -> Result<Kept<Token>, Error> {
        caller.may(Deed::Coordinate, None)?;
        self.picture().set_up.tokens.get(&id).cloned().ok_or(Error::NotFound("token"))
    }

    /// Who comes by that secret; none where it is no token's, or the token was revoked, or its account has ended.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn bearer(&self, secret: &str) -> Result<Option<Bearer>, Error> {
        let hash = secret::digest(secret);
        let held = self.tokens.lock().unwrap_or_else(PoisonError::into_inner).get(&hash).copied();
        let id = match held {
            Some(id) => Some(id),
            None => self.store.token(&hash).await?,
        };
        let Some(id) = id else { return Ok(None) };
        // Which token a hash is of never changes; whether that is good is asked of the picture each time.
        self.tokens.lock().unwrap_or_else(PoisonError::into_inner).insert(hash, id);
        Ok(self.bearer_of(id))
    }

    /// Who comes by that token now; none once it is revoked.
    #[must_use]
    pub fn bearer_of(&self, id: TokenId) -> Option<Bearer> {
        let picture = self.picture();
        let token = picture.set_up.tokens.get(&id).filter(|kept| kept.thing.ended.is_none())?;
        let person = picture.set_up.people.get(&token.thing.person).filter(|kept| kept.thing.ended.is_none())?;
        let caller = Caller::Person(Arc::new(token.thing.acting_for(&person.thing)));
        Some(Bearer { token: Arc::clone(&token.thing), caller })
    }
}
