//! What a program comes in by, as a person does by name and password.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::TokenId;
use crate::model::name::Name;
use crate::model::person::Person;
use crate::model::person::Role;

/// A bearer token, without its secret: that is shown once, and the store keeps a hash of it which never travels with
/// this.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Token {
    pub id: TokenId,
    /// what it is for: "Level sensor, North tank"
    pub name: Name,
    pub role: Role,
    /// the sites of a keeper's token
    #[serde(default)]
    pub sites: Vec<SiteId>,
    /// the account that made it, in whose name it acts
    pub person: PersonId,
    pub made: Timestamp,
    /// revoked since
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

impl Token {
    /// Whoever comes by this token: the account that made it, with the role and the sites of the token, and never with
    /// more than the account itself has.
    #[must_use]
    pub fn acting_for(&self, person: &Person) -> Person {
        let role = match (self.role, person.role) {
            (Role::Coordinator, Role::Coordinator) => Role::Coordinator,
            _ => Role::Keeper,
        };
        let own = |site: &SiteId| person.role == Role::Coordinator || person.sites.contains(site);
        let sites = match self.role {
            Role::Keeper => self.sites.iter().copied().filter(own).collect(),
            Role::Coordinator => person.sites.clone(),
        };
        Person { role, sites, ..person.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::id::Id;

    fn person(role: Role, sites: &[SiteId]) -> Person {
        Person { id: Id::fresh(), name: Name::new("Ruth").unwrap(), role, sites: sites.to_vec(), ended: None }
    }

    fn token(person: &Person, role: Role, sites: &[SiteId]) -> Token {
        Token {
            id: Id::fresh(),
            name: Name::new("Sensor").unwrap(),
            role,
            sites: sites.to_vec(),
            person: person.id,
            made: Timestamp::UNIX_EPOCH,
            ended: None,
        }
    }

    #[test]
    fn a_token_never_has_more_than_its_account() {
        let (home, elsewhere) = (SiteId::fresh(), SiteId::fresh());
        let coordinator = person(Role::Coordinator, &[]);
        let keeper = person(Role::Keeper, &[home]);
        let acting = token(&coordinator, Role::Keeper, &[home]).acting_for(&coordinator);
        assert_eq!((acting.role, acting.sites, acting.id), (Role::Keeper, vec![home], coordinator.id));
        assert_eq!(token(&coordinator, Role::Coordinator, &[]).acting_for(&coordinator).role, Role::Coordinator);
        // The account has become a keeper's since.
        let acting = token(&keeper, Role::Keeper, &[home, elsewhere]).acting_for(&keeper);
        assert_eq!((acting.role, acting.sites), (Role::Keeper, vec![home]));
        let acting = token(&keeper, Role::Coordinator, &[]).acting_for(&keeper);
        assert_eq!((acting.role, acting.sites), (Role::Keeper, vec![home]));
    }
}
