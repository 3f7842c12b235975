//! The first page of a new house: the link that was printed where the server was started leads here, and what is given
//! here makes the neighbourhood and its first coordinator.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::model::choice::Choice as _;
use crate::model::id::SourceId;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::neighbourhood::Units;
use crate::model::prices::Prices;
use crate::model::source::Disinfectant;
use crate::model::source::Source;
use crate::model::source::SourceKind;
use crate::model::upkeep::Intervals;
use crate::service;
use crate::service::Caller;
use crate::service::sign_in::Founding;
use crate::service::sign_in::Purpose;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::Wrong;
use crate::web::input::parse_number;
use crate::web::pages::sign_in::entered;
use crate::web::pages::sign_in::no_way;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;

pub(super) fn routes() -> Routes {
    Routes::new().get("/begin/{token}", ask).post("/begin/{token}", begin)
}

/// Where zones of places are filed, in the time-zone database. Its other names are aliases and offsets.
const REGIONS: [&str; 10] = [
    "Africa/",
    "America/",
    "Antarctica/",
    "Arctic/",
    "Asia/",
    "Atlantic/",
    "Australia/",
    "Europe/",
    "Indian/",
    "Pacific/",
];

#[derive(Template)]
#[template(path = "sign_in/begin.html")]
struct Begin {
    chrome: Chrome,
    token: String,
    overheard: bool,
    stray: Vec<String>,
    groups: Vec<Group>,
}

async fn ask(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(token): Path<String>,
) -> Result<Response, Error> {
    if !is_good(&house, &token) {
        return not_good(&house, &visitor);
    }
    let first = [
        ("zone", house.app.zone_here().as_str()),
        ("units", visitor.reader.units.code()),
        ("ration", "basic"),
        ("target_days", "14"),
        ("mains", visitor.reader.word("Public mains")),
        ("disinfectant", Disinfectant::Unknown.key()),
    ]
    .map(|(name, value)| (name.to_owned(), value.to_owned()));
    form(&house, &visitor, &whence, token, &Pairs(first.to_vec()), &Wrong::default())
}

async fn begin(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(token): Path<String>,
    sent: FormData,
) -> Result<Response, Error> {
    if !is_good(&house, &token) {
        // The second tap on the button: the first has set it up and signed them in.
        let done = matches!(visitor.caller, Caller::Person(_));
        return if done { Ok(Redirect::to("/set-up").into_response()) } else { not_good(&house, &visitor) };
    }
    let wrong = match founding(&visitor.reader, &sent) {
        Ok(founding) => match house.app.found(&token, founding).await {
            Ok(session) => return entered(&session, "/set-up"),
            // Another window was quicker.
            Err(service::Error::NotFound(_) | service::Error::Stale) => return not_good(&house, &visitor),
            Err(refusal) => Wrong::of(refusal)?,
        },
        Err(wrong) => wrong,
    };
    let shown = form(&house, &visitor, &whence, token, &sent, &wrong)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, shown).into_response())
}

fn is_good(house: &House, token: &str) -> bool {
    house.app.purpose(token) == Some(Purpose::SetUp) && !house.app.is_set_up()
}

/// Everything that was typed, or all that is wrong with it at once.
fn founding(reader: &Reader, sent: &Pairs) -> Result<Founding, Wrong> {
    let typed = |field| sent.get(field).unwrap_or_default();
    let mut wrong = Wrong::default();
    let mut name = |field| Name::new(typed(field)).map_err(|why| wrong.add(field, why)).ok();
    let (neighbourhood, coordinator, mains) = (name("name"), name("coordinator"), name("mains"));
    let target_days = parse_number(typed("target_days")).map_err(|why| wrong.add("target_days", why)).ok();
    let not_offered = || Message::new("Choose one of these.");
    let units = Units::from_key(typed("units"));
    if units.is_none() {
        wrong.add("units", not_offered());
    }
    let disinfectant = Disinfectant::from_key(typed("disinfectant"));
    if disinfectant.is_none() {
        wrong.add("disinfectant", not_offered());
    }
    if let Err(why) = service::sign_in::acceptable(typed("password")) {
        wrong.add("password", why);
    } else if typed("password") != typed("again") {
        wrong.add("again", Message::new("The two differ. Write the same password in both."));
    }
    let all = (neighbourhood, coordinator, mains, target_days, units, disinfectant);
    let (Some(name), Some(coordinator), Some(mains), Some(target_days), Some(units), Some(disinfectant)) = all else {
        return Err(wrong);
    };
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let neighbourhood = Neighbourhood {
        name,
        zone: typed("zone").to_owned(),
        units,
        language: reader.language.code().to_owned(),
        ration: typed("ration").to_owned(),
        target_days,
        upkeep: Intervals::default(),
        sds_g: None,
        sd1_g: None,
        prices: Prices::default(),
    };
    let kind = SourceKind::Mains;
    let mains = Source { id: SourceId::fresh(), name: mains, kind, disinfectant, notes: String::new() };
    Ok(Founding { neighbourhood, coordinator, password: typed("password").to_owned(), sources: vec![mains] })
}

fn not_good(house: &House, visitor: &Visitor) -> Result<Response, Error> {
    if house.app.is_set_up() {
        no_way(
            visitor,
            "This neighbourhood is set up already",
            "The link to set it up was good once and has been used. If that was you, sign in with the name and password \
             that you gave then. If it was not, ask whoever started the server.",
            Some(("/sign-in", "Sign in")),
        )
    } else {
        no_way(
            visitor,
            "This link is not good",
            "The link to set up a neighbourhood is a new one each time the server is started. Open the one that it \
             printed last, whole. If you cannot find it, stop the server and start it again.",
            None,
        )
    }
}

fn form(
    house: &House,
    visitor: &Visitor,
    whence: &Whence,
    token: String,
    typed: &Pairs,
    wrong: &Wrong,
) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let asked = Asked { reader, typed, wrong };
    let groups = vec![asked.neighbourhood(&house.app.zone_here())?, asked.mains(), asked.coordinator()];
    let all = groups.iter().flat_map(|group| group.fields.iter().cloned()).collect::<Vec<_>>();
    let stray = wrong.about_none_of(reader, &all);
    let chrome = visitor.chrome(Place::SignIn);
    page(reader, Begin { chrome, token, overheard: whence.is_overheard(), stray, groups })
}

/// Some of the fields, with their heading and a line under it.
struct Group {
    heading: &'static str,
    line: &'static str,
    fields: Vec<Field>,
}

/// What was typed and what is wrong with it, for the fields that show both.
struct Asked<'a> {
    reader: &'a Reader,
    typed: &'a Pairs,
    wrong: &'a Wrong,
}

impl Asked<'_> {
    fn field(&self, name: &str, label: &'static str, hint: &'static str, control: Control) -> Field {
        Field::new(name, self.reader.word(label), control)
            .hint(self.reader.word(hint))
            .value(self.typed.get(name).unwrap_or_default())
            .error(self.wrong.about(self.reader, name))
    }

    fn neighbourhood(&self, zone_here: &str) -> Result<Group, Error> {
        let name = Control::Text { autocomplete: "off" };
        let zone = Control::Select(zones(zone_here));
        let units = Control::Radios(listed::<Units>(self.reader));
        let ration = Control::Radios(rungs(self.reader)?);
        let days = Control::Number { unit: self.reader.word("days").to_owned() };
        let fields = vec![
            self.field("name", "Its name", "As people here call it.", name),
            self.field("zone", "Time zone", "Of its clocks: days and hours are shown in it.", zone),
            self.field("units", "Units", "Each reader may choose others.", units),
            self.field("ration", "Ration", "Days of water are reckoned at it; pages can show the others.", ration),
            self.field("target_days", "How long the water should last", "What each site is measured against.", days),
        ];
        Ok(Group { heading: "The neighbourhood", line: "All of this can be changed later.", fields })
    }

    fn mains(&self) -> Group {
        let disinfectant = Control::Radios(listed::<Disinfectant>(self.reader));
        let report = "It stands in the supplier's report on water quality.";
        Group {
            heading: "Its mains",
            line: "What comes out of the tap when all is well. Wells, rain and carriers can be added later.",
            fields: vec![
                self.field("mains", "Name", "", Control::Text { autocomplete: "off" }),
                self.field("disinfectant", "What the supplier disinfects it with", report, disinfectant),
            ],
        }
    }

    fn coordinator(&self) -> Group {
        let name = Control::Text { autocomplete: "username" };
        let password = || Control::Password { autocomplete: "new-password" };
        Group {
            heading: "You, its coordinator",
            line: "You see and change everything, and give others their accounts.",
            fields: vec![
                self.field("coordinator", "Your name", "You sign in by it.", name),
                self.field("password", "Password", "8 characters or more; several words are best.", password()),
                self.field("again", "The same password again", "", password()),
            ],
        }
    }
}

fn listed<T: crate::model::choice::Choice>(reader: &Reader) -> Vec<Choice> {
    let choice = |(_, key, label): &(T, &'static str, &'static str)| Choice {
        value: (*key).to_owned(),
        label: reader.word(label).to_owned(),
        hint: String::new(),
    };
    T::LIST.iter().map(choice).collect()
}

fn rungs(reader: &Reader) -> Result<Vec<Choice>, Error> {
    let words = reader.language.catalogue();
    let choice = |rung: &keepwell_engine::demand::Rung| {
        let litres = reader.figure(as_litres(rung.uses().total()), Unit::LitrePerDay).map_err(Error::internal)?;
        let label = words.phrase("{name}: {litres} for each person").with("name", words.phrase(rung.name()));
        Ok(Choice {
            value: rung.key().to_owned(),
            label: label.with("litres", litres).to_string(),
            hint: words.phrase(rung.source()).capital().to_string(),
        })
    };
    Ladder::default().rungs().iter().map(choice).collect()
}

/// Every zone of a place, `UTC`, and this machine's own.
pub(super) fn zones(here: &str) -> Vec<Choice> {
    let of_a_place = |name: &str| REGIONS.iter().any(|region| name.starts_with(region));
    let known = jiff::tz::db().available().map(|name| name.as_str().to_owned()).filter(|name| of_a_place(name));
    let names = known.chain([here.to_owned(), "UTC".to_owned()]).collect::<std::collections::BTreeSet<_>>();
    let choice = |name: String| Choice { label: name.replace('_', " "), value: name, hint: String::new() };
    names.into_iter().map(choice).collect()
}
