//! Rows of people and animals: each replaces the count of one category at one site.

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::site::Animal;
use crate::model::site::Animals;
use crate::model::site::Category;
use crate::model::site::People;
use crate::service::import::Outcome;
use crate::service::import::draft::Draft;
use crate::service::import::row::Row;
use crate::service::import::row::choose;
use crate::service::import::row::none_of;
use crate::service::import::sites;

enum Who {
    People(Category),
    Animals(Animal),
}

impl Who {
    fn key(&self) -> &'static str {
        match self {
            Self::People(category) => category.key(),
            Self::Animals(animal) => animal.key(),
        }
    }
}

pub fn read(row: &mut Row<'_>, draft: &mut Draft) {
    let at = sites::named(row, draft);
    let who = who(row);
    if row.text("number").is_empty() {
        row.missing("number");
    }
    let count = row.whole("number");
    let (Some(at), Some(who), Some(count)) = (at, who, count) else { return };
    if let Some(line) = draft.counted.insert((at, who.key()), row.line()) {
        let message = Message::new("This category is counted for this site in line {line} already.")
            .with("line", Arg::Count(u64::try_from(line).unwrap_or(u64::MAX)));
        row.fault("category", message);
        return;
    }
    let mut site = draft.sites.items[at].thing.clone();
    let before = match who {
        Who::People(category) => put(
            &mut site.people,
            |people| people.category == category,
            |people| &mut people.count,
            People { category, count },
        ),
        Who::Animals(animal) => put(
            &mut site.animals,
            |animals| animals.animal == animal,
            |animals| &mut animals.count,
            Animals { animal, count },
        ),
    };
    draft.last_counted.insert(at, row.spot("number"));
    draft.sites.set(at, site);
    draft.counts.people.count(match before {
        same if same == count => Outcome::Skipped,
        0 => Outcome::Added,
        _ => Outcome::Changed,
    });
}

/// Puts a count in the place of those that are the same, and says what they came to.
fn put<T: Copy>(list: &mut Vec<T>, same: impl Fn(&T) -> bool, count: impl Fn(&mut T) -> &mut u32, new: T) -> u32 {
    let mut new = new;
    let before = list.iter_mut().filter(|item| same(item)).map(|item| *count(item)).fold(0, u32::saturating_add);
    let wanted = *count(&mut new);
    if before == wanted {
        return before;
    }
    let place = list.iter().position(&same).unwrap_or(list.len());
    list.retain(|item| !same(item));
    if wanted > 0 {
        list.insert(place.min(list.len()), new);
    }
    before
}

fn who(row: &mut Row<'_>) -> Option<Who> {
    let text = row.text("category");
    if text.is_empty() {
        row.missing("category");
        return None;
    }
    let found = choose(text).map(Who::People).or_else(|| choose(text).map(Who::Animals));
    if found.is_none() {
        let people = Category::LIST.iter().map(|row| row.1);
        let keys = people.chain(Animal::LIST.iter().map(|row| row.1)).map(|key| key.replace('_', " "));
        row.fault("category", none_of("category", text, &keys.collect::<Vec<_>>()));
    }
    found
}
