//! Storing what was typed once, however often it is sent.

use crate::model::entry::Act;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::entries::New;

/// Logs the entries, all or none. The same form sent again is answered the same and stored once: if it said "now", the
/// clock may have moved on between the two, which makes it no other entry.
///
/// # Errors
/// As `App::log`.
pub(crate) async fn log_once(app: &App, caller: &Caller, new: Vec<New>, just_now: bool) -> Result<(), Error> {
    let again = new.clone();
    match app.log_all(caller, new).await {
        Err(Error::IdTaken) if just_now && again.iter().all(|new| is_there(app, caller, new)) => Ok(()),
        result => result.map(drop),
    }
}

/// Whether that entry is in the ledger, whenever it happened.
fn is_there(app: &App, caller: &Caller, new: &New) -> bool {
    app.entry(caller, new.id).is_ok_and(|there| {
        let (entry, by) = (&there.entry, caller.id());
        // A void is where what it voids is; the form does not say it again.
        let same_place = matches!(new.act, Act::Void(_)) || (entry.vessel == new.vessel && entry.site == new.site);
        entry.act == new.act && same_place && entry.by == by
    })
}
