//! What an entry is made of in the API. There is no list of fields here: each kind describes its own in the model.

use crate::model::choice::options;
use crate::model::entry::About;
use crate::model::entry::Kind;
use crate::model::entry::fields;
use crate::model::entry::fields::Field;
use crate::web::api::shape::Member;
use crate::web::api::shape::What;

const ID: Member =
    Member::needed("id", "made by whoever logs it; the same entry sent again is stored once", What::Fresh);
const KIND: Member = Member::needed("kind", "what happened, which decides the fields", What::Choice(options::<Kind>));
const AT: Member = Member::needed("at", "when it happened; at most 10 minutes ahead of the clock here", What::Moment);

/// What an entry of a kind is sent as. Its own fields stand in an object of their own, since some kinds have a `kind` or
/// a `by` themselves.
#[must_use]
pub fn members(kind: Kind) -> Vec<Member> {
    let mut members = vec![ID, KIND, AT];
    match kind.about() {
        About::Vessel => members.extend([
            Member::needed("vessel", "which vessel it is about", What::Id),
            Member::maybe("site", "the site that the vessel stands at", What::Id),
        ]),
        About::Site => members.extend([
            Member::needed("site", "which site it is about", What::Id),
            Member::maybe("vessel", "a vessel there, if it is about one", What::Id),
        ]),
        // A supply or another entry is named among the fields.
        About::Source | About::Entry => {}
    }
    members.push(Member::needed("fields", "what is told of it", What::Fields(kind)));
    members
}

/// A kind's own fields, as its description in the model has them.
#[must_use]
pub fn fields(kind: Kind) -> Vec<Member> {
    kind.fields().iter().map(member).collect()
}

/// A field of the model as a member of the API.
#[must_use]
pub fn member(field: &Field) -> Member {
    let what = match field.what {
        fields::What::Figure(measure) => What::Figure(measure),
        fields::What::Whole(measure) => What::Whole(measure),
        fields::What::Choice(options) => What::Choice(options),
        fields::What::Flag => What::Flag,
        fields::What::Text(longest) => What::Text(longest),
        fields::What::Date => What::Date,
        fields::What::Ref(_) => What::Id,
    };
    if field.required {
        Member::needed(field.key, field.label, what)
    } else {
        Member::maybe(field.key, field.label, what)
    }
}
