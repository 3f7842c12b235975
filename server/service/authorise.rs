//! The one door: may this caller do this, at this site? (design: role, site, act.) Another's site answers as if it were
//! not there.

use std::sync::Arc;

use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::person::Person;
use crate::model::person::Role;
use crate::service::Error;

/// Who asks.
#[derive(Clone, Debug)]
pub enum Caller {
    /// nobody has signed in
    Nobody,
    /// someone who has
    Person(Arc<Person>),
    /// the program itself: the demonstration, the command line
    House,
}

/// What is asked for. Seeing a household's contacts is an act like any other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    /// the neighbourhood's totals
    SeeTotals,
    /// a site's vessels, entries and power
    SeeSite,
    /// a site's address, contact and telephone
    SeeContacts,
    /// an entry at a site
    Log,
    /// a state of a supply, or a notice on it
    LogSupply,
    /// a site's set-up: the site, its vessels, banks, power
    ChangeSite,
    /// people, sources, the neighbourhood, import, new sites
    Coordinate,
}

impl Caller {
    #[must_use]
    pub fn id(&self) -> Option<PersonId> {
        match self {
            Self::Person(person) => Some(person.id),
            Self::Nobody | Self::House => None,
        }
    }

    /// May they? `site` is none where the deed is about no one site.
    ///
    /// # Errors
    /// [`Error::SignInNeeded`], [`Error::Forbidden`], or [`Error::NotFound`] for another's site.
    pub fn may(&self, deed: Deed, site: Option<SiteId>) -> Result<(), Error> {
        let person = match self {
            Self::House => return Ok(()),
            Self::Nobody => return Err(Error::SignInNeeded),
            Self::Person(person) => person,
        };
        if person.role == Role::Coordinator {
            return Ok(());
        }
        match deed {
            Deed::SeeTotals | Deed::LogSupply => Ok(()),
            Deed::Coordinate => Err(Error::Forbidden("the coordinator")),
            Deed::SeeSite | Deed::SeeContacts | Deed::Log | Deed::ChangeSite => match site {
                Some(site) if person.sites.contains(&site) => Ok(()),
                _ => Err(Error::NotFound("site")),
            },
        }
    }

    /// Whether they may, for showing or leaving out.
    #[must_use]
    pub fn can(&self, deed: Deed, site: Option<SiteId>) -> bool {
        self.may(deed, site).is_ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::id::Id;
    use crate::model::name::Name;

    fn person(role: Role, sites: &[SiteId]) -> Caller {
        let name = Name::new("Ruth").unwrap();
        Caller::Person(Arc::new(Person { id: Id::fresh(), name, role, sites: sites.to_vec(), ended: None }))
    }

    /// (deed, coordinator, keeper at home, keeper elsewhere, nobody)
    const TABLE: &[(Deed, bool, bool, bool, bool)] = &[
        (Deed::SeeTotals, true, true, true, false),
        (Deed::SeeSite, true, true, false, false),
        (Deed::SeeContacts, true, true, false, false),
        (Deed::Log, true, true, false, false),
        (Deed::LogSupply, true, true, true, false),
        (Deed::ChangeSite, true, true, false, false),
        (Deed::Coordinate, true, false, false, false),
    ];

    #[test]
    fn the_table_of_who_may_do_what() {
        let (home, elsewhere) = (SiteId::fresh(), SiteId::fresh());
        let coordinator = person(Role::Coordinator, &[]);
        let keeper = person(Role::Keeper, &[home]);
        for (deed, whole, own, foreign, nobody) in TABLE {
            assert_eq!(coordinator.can(*deed, Some(elsewhere)), *whole, "{deed:?} coordinator");
            assert_eq!(keeper.can(*deed, Some(home)), *own, "{deed:?} keeper at home");
            assert_eq!(keeper.can(*deed, Some(elsewhere)), *foreign, "{deed:?} keeper elsewhere");
            assert_eq!(Caller::Nobody.can(*deed, Some(home)), *nobody, "{deed:?} nobody");
            assert!(Caller::House.can(*deed, None));
        }
    }

    #[test]
    fn anothers_site_is_not_there() {
        let keeper = person(Role::Keeper, &[SiteId::fresh()]);
        assert!(matches!(keeper.may(Deed::SeeSite, Some(SiteId::fresh())), Err(Error::NotFound("site"))));
    }
}
