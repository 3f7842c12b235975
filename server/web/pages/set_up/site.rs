//! The form of a site: who draws water there, where it is, how one gets in.

use keepwell_engine::quantity::ANIMALS;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::HANDED_OUT;
use keepwell_engine::quantity::HOURS_A_DAY;
use keepwell_engine::quantity::LATITUDE;
use keepwell_engine::quantity::LONGITUDE;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::VOLUME;

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::setup::Thing;
use crate::model::site::Animal;
use crate::model::site::Animals;
use crate::model::site::Category;
use crate::model::site::People;
use crate::model::site::Site;
use crate::service::authorise::Deed;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::form::WORDS;
use crate::web::pages::set_up::form::choices;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let id = SiteId::from_uuid(task.id);
    let old = match &task.standing {
        Some((Thing::Site(site), _)) => Some(site),
        _ => None,
    };
    asking.group("", "The site");
    let name = asking.name(ask("name", "Name"), old.map(|old| &old.name));
    let kind = asking.choice(ask("kind", "Kind"), old.map(|old| old.kind));

    asking.group("people", "People who draw water here");
    asking.words("Count every person once, where they would draw. Leave empty what there is none of.");
    let people = people(asking, old);
    let door = ask("cannot_collect", "Of all these, cannot fetch water themselves")
        .hint("To whom it is brought: they make the list “To the door”. Only how many is kept here, never who.")
        .quiet();
    let cannot_collect = asking.count(door, &PEOPLE, old.map(|old| old.cannot_collect).filter(|count| *count > 0));
    asking.group("animals", "Animals");
    asking.words("That drink from what is stored. Leave empty what there is none of.");
    let animals = animals(asking, old);

    asking.group("supplies", "What it fills from");
    let supplies = choices(task.set_up().sources.values().map(|kept| (kept.thing.id.to_string(), &kept.thing.name)));
    let mut sources = old.map_or_else(Vec::new, |old| old.sources.clone());
    if supplies.is_empty() {
        asking.words("No supply is kept yet. Add one under Set-up, then name it here.");
    } else {
        let standing = sources.iter().map(ToString::to_string).collect();
        let hint = "So that a notice on a supply reaches every site that uses it.";
        let taken = asking.several(ask("sources", "Supplies").hint(hint).optional(), supplies, standing);
        sources = taken.iter().filter_map(|id| id.parse().ok()).collect();
    }
    let (pump_hours_a_day, keep_l, handed_out_loss) = use_of_it(asking, old);

    asking.group("", "Where it is");
    let contacts = old.is_none() || task.caller().can(Deed::SeeContacts, Some(id));
    let text = |old: Option<&Site>, of: fn(&Site) -> &String| old.map_or_else(String::new, |old| of(old).clone());
    let mut address = text(old, |old| &old.address);
    if contacts {
        address = asking.text(ask("address", "Address").optional(), WORDS, &address);
    }
    let north = ask("latitude", "Latitude").hint("Degrees north, such as 53.27; south is negative.").optional();
    let latitude = asking.figure(north, &LATITUDE, old.and_then(|old| old.latitude));
    let east = ask("longitude", "Longitude").hint("Degrees east; west is negative.").optional();
    let longitude = asking.beside().figure(east, &LONGITUDE, old.and_then(|old| old.longitude));
    let over = ask("elevation_m", "Height over the sea").optional();
    let elevation_m = asking.figure(over, &ELEVATION, old.and_then(|old| old.elevation_m));
    let way_in = ask("access", "How to get in").hint("The gate, the key, the step to mind.").optional();
    let access = asking.lines(way_in, WORDS, old.map_or("", |old| old.access.as_str()));

    let (mut contact, mut phone) = (text(old, |old| &old.contact), text(old, |old| &old.phone));
    if contacts {
        asking.group("", "Whom to call");
        asking.words("Seen by the coordinator and the keepers of this site alone, like its address.");
        contact = asking.text(ask("contact", "Name of the contact").optional(), WORDS, &contact);
        phone = asking.beside().text(ask("phone", "Telephone").optional(), WORDS, &phone);
    }
    asking.group("", "Anything else");
    let notes = asking.lines(ask("notes", "Notes").optional(), WORDS, old.map_or("", |old| old.notes.as_str()));

    Some(Answer::of(Thing::Site(Site {
        id,
        name: name?,
        kind: kind?,
        people,
        cannot_collect: cannot_collect.unwrap_or_default(),
        animals,
        sources,
        address,
        latitude,
        longitude,
        elevation_m,
        access,
        contact,
        phone,
        notes,
        pump_hours_a_day: pump_hours_a_day?,
        keep_l: keep_l?,
        handed_out_loss,
        ended: old.and_then(|old| old.ended),
    })))
}

/// How long the pump runs, what is kept back, and what is lost in handing out.
fn use_of_it(asking: &mut Asking, old: Option<&Site>) -> (Option<f64>, Option<f64>, f64) {
    let hours = ask("pump_hours_a_day", "Run plan: hours a day")
        .hint("How long the generator runs the pump in an outage. 16 hours is a tap on demand.");
    let plan = old.map_or(Site::TAP_ON_DEMAND_HOURS, |old| old.pump_hours_a_day);
    let pump_hours_a_day = asking.figure(hours, &HOURS_A_DAY, Some(plan));

    let keep = ask("keep_l", "Keeps back")
        .hint("Litres that stay here whatever others lack, when water is carried from site to site.");
    let keep_l = asking.figure(keep, &VOLUME, Some(old.map_or(0.0, |old| old.keep_l)));
    let lost = ask("handed_out_loss", "Lost in handing out")
        .hint("Spilt, rinsed with, left in cans: 10 to 35 % where many are served (UNHCR Emergency Handbook). None if left empty.")
        .optional();
    let lost = asking.beside().figure(lost, &HANDED_OUT, old.map(|old| old.handed_out_loss).filter(|lost| *lost > 0.0));
    (pump_hours_a_day, keep_l, lost.unwrap_or_default())
}

/// The field of each category: its name, and a word of help where the category needs one.
const fn people_field(category: Category) -> (&'static str, &'static str) {
    match category {
        Category::Adult => ("people_adult", ""),
        Category::Child => ("people_child", ""),
        Category::Infant => ("people_infant", "under one year"),
        Category::Nursing => ("people_nursing", ""),
        Category::Unwell => ("people_unwell", ""),
        Category::Bed => ("people_bed", ""),
        Category::DayVisitor => ("people_day_visitor", "a day, on an ordinary day"),
        Category::Catchment => ("people_catchment", "who are counted nowhere else"),
    }
}

fn people(asking: &mut Asking, old: Option<&Site>) -> Vec<People> {
    let mut given = Vec::new();
    for (at, row) in Category::LIST.iter().enumerate() {
        let category = row.0;
        let standing = old.and_then(|old| old.people.iter().find(|people| people.category == category));
        let (key, hint) = people_field(category);
        if at % 2 == 1 {
            asking.beside();
        }
        let count = asking.count(ask(key, row.2).hint(hint).quiet(), &PEOPLE, standing.map(|people| people.count));
        given.extend(count.filter(|count| *count > 0).map(|count| People { category, count }));
    }
    given
}

const fn animals_field(animal: Animal) -> &'static str {
    match animal {
        Animal::DogOrCat => "animals_dog_or_cat",
        Animal::Poultry => "animals_poultry",
        Animal::Sheep => "animals_sheep",
        Animal::Horse => "animals_horse",
        Animal::Cow => "animals_cow",
    }
}

fn animals(asking: &mut Asking, old: Option<&Site>) -> Vec<Animals> {
    let mut given = Vec::new();
    for (at, row) in Animal::LIST.iter().enumerate() {
        let animal = row.0;
        let standing = old.and_then(|old| old.animals.iter().find(|animals| animals.animal == animal));
        if at > 0 {
            asking.beside();
        }
        let question = ask(animals_field(animal), row.2).quiet();
        let count = asking.count(question, &ANIMALS, standing.map(|animals| animals.count));
        given.extend(count.filter(|count| *count > 0).map(|count| Animals { animal, count }));
    }
    given
}
