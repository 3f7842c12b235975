//! Logging what was carried: which vessel it left, and where it went.

use keepwell_engine::grade::Grade;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::litres;

use crate::model::carry::Carry;
use crate::model::entry::Act;
use crate::model::entry::draw::Draw;
use crate::model::entry::transfer::Transfer;
use crate::model::id::CarryId;
use crate::model::id::EntryId;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::entries::New;

impl App {
    /// One trip of a carry, as the entry that it is: out of the giver's fullest drinking water into whatever the receiver has
    /// room in; drawn and handed over, where the receiver has no vessel for it.
    ///
    /// # Errors
    /// No such carry; neither site is the caller's to log at; the giver has no drinking water to give.
    pub fn trip(&self, caller: &Caller, carry: CarryId, id: EntryId) -> Result<New, Error> {
        let picture = self.picture();
        // Who has not come in learns nothing, not even that it is there.
        caller.may(Deed::SeeTotals, None)?;
        let kept = picture.set_up.carries.get(&carry).ok_or(Error::NotFound("carry"))?;
        caller.may(Deed::Log, Some(kept.thing.from))?;
        self.trip_of(&picture, &kept.thing, caller, id)
    }

    fn trip_of(&self, picture: &Picture, carry: &Carry, caller: &Caller, id: EntryId) -> Result<New, Error> {
        let now = self.now();
        let giver = picture.site(carry.from).ok_or(Error::NotFound("site"))?;
        let held = |vessel: &VesselPicture| vessel.estimate(now).volume;
        let drinkable = |vessel: &&VesselPicture| {
            vessel.is_known() && vessel.parts(now).iter().all(|part| part.graded.grade == Some(Grade::Drink))
        };
        let from = most(giver, now, drinkable, held);
        let from =
            from.ok_or_else(|| Error::invalid("from", Message::new("No drinking water is left there to carry.")))?;
        let amount = litres(carry.litres_a_trip);
        let room =
            |vessel: &VesselPicture| (vessel.body.capacity.full - vessel.estimate(now).volume).max(Volume::default());
        let receiver = picture.site(carry.to).filter(|_| caller.can(Deed::Log, Some(carry.to)));
        let into = receiver.and_then(|site| {
            let takes =
                |vessel: &&VesselPicture| vessel.is_known() && !vessel.vessel.outage_only && room(vessel) >= amount;
            most(site, now, |vessel| drinkable(vessel) && takes(vessel), room)
        });
        let act = match into {
            Some(into) => Act::Transfer(Transfer {
                to: into.vessel.id,
                litres: carry.litres_a_trip,
                measured: None,
                note: Some(carry.name.to_string()),
            }),
            None => Act::Draw(Draw {
                litres: Some(carry.litres_a_trip),
                measured: None,
                to_outlet: false,
                lot: None,
                note: Some(carry.name.to_string()),
            }),
        };
        Ok(New { id, site: Some(carry.from), vessel: Some(from.vessel.id), at: self.instant(), act })
    }
}

/// The vessel with the most of something among those that will do.
fn most<'a>(
    site: &'a SitePicture,
    now: keepwell_engine::moment::Moment,
    will_do: impl Fn(&&'a VesselPicture) -> bool,
    of: impl Fn(&VesselPicture) -> Volume,
) -> Option<&'a VesselPicture> {
    site.vessels_at(now).filter(will_do).max_by(|a, b| of(a).value.total_cmp(&of(b).value))
}
