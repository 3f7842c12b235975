//! The one door of words: English is the key, a gettext catalogue per further language holds the rest.
//!
//! A further language is a `.po` file in this folder, a variant of [`Language`] and a line in [`Language::catalogue`].

mod phrase;

use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::LazyLock;

use icu_locale_core::Locale;
use icu_locale_core::locale;
use icu_plurals::PluralCategory;
use icu_plurals::PluralRules;

pub use phrase::Fill;
pub use phrase::Phrase;

/// The languages in which Keepwell speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Language {
    /// the language of the keys
    #[default]
    English,
}

impl Language {
    /// Every language, as offered to a reader.
    pub const ALL: [Self; 1] = [Self::English];

    /// The language tag (BCP 47) used in `<html lang>` and in the cookie.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::English => "en",
        }
    }

    /// The language of a tag, if we speak it.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|language| language.code() == code)
    }

    /// What stands before the decimals.
    #[must_use]
    pub const fn decimal_mark(self) -> char {
        match self {
            Self::English => '.',
        }
    }

    /// What stands between groups of three digits.
    #[must_use]
    pub const fn thousands_mark(self) -> char {
        match self {
            Self::English => ',',
        }
    }

    /// The words of this language.
    #[must_use]
    pub fn catalogue(self) -> &'static Catalogue {
        static ENGLISH: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::untranslated(locale!("en")));
        match self {
            Self::English => &ENGLISH,
        }
    }
}

/// The translations of one language.
#[derive(Clone, Debug)]
pub struct Catalogue {
    locale: Locale,
    words: HashMap<String, String>,
    plurals: HashMap<String, Vec<String>>,
}

/// Why a catalogue cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum CatalogueError {
    /// it is not a `.po` file
    #[error("the catalogue cannot be read: {0}")]
    Unreadable(#[from] polib::po_file::POParseError),
    /// its header names no language, or none that exists
    #[error("the catalogue's header names the language `{0}`, which is none")]
    Language(String),
    /// a translation lacks an argument of its key, or has one that the key lacks
    #[error("the translation `{translation}` has other places than its key `{key}`")]
    Places {
        /// the English
        key: String,
        /// its translation
        translation: String,
    },
}

/// The order in which gettext numbers the plural forms of a language that has them.
const ORDER: [PluralCategory; 6] = [
    PluralCategory::Zero,
    PluralCategory::One,
    PluralCategory::Two,
    PluralCategory::Few,
    PluralCategory::Many,
    PluralCategory::Other,
];

impl Catalogue {
    /// The catalogue of the language of the keys.
    fn untranslated(locale: Locale) -> Self {
        Self { locale, words: HashMap::new(), plurals: HashMap::new() }
    }

    /// Reads a `.po` file. Entries that are empty or marked fuzzy are left out: English stands in for them.
    ///
    /// # Errors
    /// Not a `.po` file, no language in its header, or a translation whose `{places}` differ from its key's.
    pub fn read(po: &str) -> Result<Self, CatalogueError> {
        let file = polib::po_file::parse_from_reader(po.as_bytes())?;
        let language = &file.metadata.language;
        let locale = Locale::try_from_str(&language.replace('_', "-"))
            .map_err(|_| CatalogueError::Language(language.clone()))?;
        let mut catalogue = Self::untranslated(locale);
        for entry in file.messages().filter(|entry| entry.is_translated() && !entry.is_fuzzy()) {
            let key = entry.msgid();
            if let (Ok(other), Ok(forms)) = (entry.msgid_plural(), entry.msgstr_plural()) {
                for form in forms {
                    same_places(other, form)?;
                }
                catalogue.plurals.insert(key.to_owned(), forms.clone());
            } else if let Ok(translation) = entry.msgstr() {
                same_places(key, translation)?;
                catalogue.words.insert(key.to_owned(), translation.to_owned());
            }
        }
        Ok(catalogue)
    }

    /// The words for an English key.
    #[must_use]
    pub fn phrase(&self, key: &str) -> Phrase {
        Phrase::read(self.word(key))
    }

    /// The words for an English key that has no places.
    #[must_use]
    pub fn word<'a>(&'a self, key: &'a str) -> &'a str {
        self.words.get(key).map_or(key, String::as_str)
    }

    /// The words for so many of something, in the plural form that the language asks for.
    #[must_use]
    pub fn plural(&self, one: &str, other: &str, count: u64) -> Phrase {
        let translated = self.plurals.get(one).filter(|forms| !forms.is_empty());
        let text = match translated {
            Some(forms) => &forms[self.form(count).min(forms.len() - 1)],
            None if count == 1 => one,
            None => other,
        };
        Phrase::read(text)
    }

    /// Which of gettext's forms a count takes. A class that gettext does not number takes the last form: Spanish has
    /// "many" for a million and gettext two forms only.
    fn form(&self, count: u64) -> usize {
        let Ok(rules) = PluralRules::try_new_cardinal((&self.locale).into()) else {
            return usize::from(count != 1);
        };
        let class = rules.category_for(count);
        let used: Vec<PluralCategory> = rules.categories().collect();
        ORDER.iter().filter(|order| used.contains(order)).position(|order| *order == class).unwrap_or(usize::MAX)
    }
}

fn same_places(key: &str, translation: &str) -> Result<(), CatalogueError> {
    let places = |text| Phrase::read(text).places().map(str::to_lowercase).collect::<HashSet<_>>();
    if places(key) == places(translation) {
        Ok(())
    } else {
        Err(CatalogueError::Places { key: key.to_owned(), translation: translation.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: &str = include_str!("small.po");

    #[test]
    fn a_catalogue_translates_what_it_holds_and_leaves_the_rest_english() {
        let catalogue = Catalogue::read(SMALL).unwrap();
        assert_eq!(catalogue.phrase("What gives out first").to_string(), "Lo que se agota primero");
        assert_eq!(catalogue.phrase("Nothing to do").to_string(), "Nothing to do");
        assert_eq!(catalogue.phrase("Guessed").to_string(), "Guessed");
        let dipped = catalogue.phrase("{vessel} was last dipped {when}.");
        let dipped = dipped.with("when", "ayer").with("vessel", "Norte");
        assert_eq!(dipped.to_string(), "Ayer se midió Norte.");
    }

    /// The classes are CLDR's for Spanish: one for 1, many for 1,000,000, other otherwise.
    #[test]
    fn plural_forms_follow_the_language() {
        let catalogue = Catalogue::read(SMALL).unwrap();
        let cans = |count: u64| catalogue.plural("{n} can", "{n} cans", count).with("n", "N").to_string();
        assert_eq!(cans(1), "N bidón");
        for count in [0, 2, 5, 1_000_000] {
            assert_eq!(cans(count), "N bidones", "{count}");
        }
        let days =
            |count| Language::English.catalogue().plural("{n} day", "{n} days", count).with("n", "N").to_string();
        assert_eq!((days(0), days(1), days(2)), ("N days".into(), "N day".into(), "N days".into()));
    }

    /// The classes are CLDR's for Polish: one for 1, few for 2 to 4 and 22 to 24, many for 5 to 21.
    #[test]
    fn a_language_of_three_forms_takes_each() {
        let polish = "msgid \"\"\nmsgstr \"Language: pl\\n\"\n\nmsgid \"day\"\nmsgid_plural \"days\"\nmsgstr[0] \"dzień\"\nmsgstr[1] \"dni (2)\"\nmsgstr[2] \"dni (5)\"\n";
        let catalogue = Catalogue::read(polish).unwrap();
        let days = |count| catalogue.plural("day", "days", count).to_string();
        assert_eq!([1, 2, 4, 22].map(days), ["dzień", "dni (2)", "dni (2)", "dni (2)"]);
        assert_eq!([0, 5, 12, 21].map(days), ["dni (5)"; 4]);
    }

    #[test]
    fn a_translation_that_loses_a_place_is_refused() {
        let lost = "msgid \"\"\nmsgstr \"Language: es\\n\"\n\nmsgid \"{n} litres\"\nmsgstr \"litros\"\n";
        assert!(matches!(Catalogue::read(lost), Err(CatalogueError::Places { .. })));
        let nowhere = "msgid \"\"\nmsgstr \"Language: !\\n\"\n\nmsgid \"a\"\nmsgstr \"b\"\n";
        assert!(matches!(Catalogue::read(nowhere), Err(CatalogueError::Language(_))));
    }
}
