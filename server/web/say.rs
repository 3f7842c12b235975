//! A message becomes a sentence: the one place where what findings and errors mean is put into words.

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::dates::When;
use crate::web::reader::Reader;
use crate::web::words::Phrase;

impl Reader {
    /// The message as this reader reads it. A figure that cannot be shown, or a moment beyond the calendar, is said
    /// to be unknown: an error message must not fail in its turn.
    #[must_use]
    pub fn say(&self, message: &Message) -> Phrase {
        let phrase = self.language.catalogue().phrase(message.key);
        message.args.iter().fold(phrase, |phrase, (name, arg)| phrase.with(name, self.arg(arg)))
    }

    fn arg(&self, arg: &Arg) -> Phrase {
        match arg {
            Arg::Word(word) => self.language.catalogue().phrase(word),
            Arg::Text(text) => Phrase::verbatim(text.as_str()),
            Arg::Figure(value, unit) => self.or_unknown(self.figure(*value, *unit)),
            Arg::Exact(value, unit) => self.or_unknown(self.exact(*value, *unit)),
            Arg::Count(count) => Phrase::verbatim(self.whole(*count)),
            Arg::Counted { count, one, other } => self.plural(one, other, *count),
            Arg::Moment(at) => self.or_unknown(at.instant(self).map(|at| self.moment(at))),
            Arg::Day(at) => self.or_unknown(at.instant(self).map(|at| self.day(at))),
            Arg::Ago(at) => self.or_unknown(at.instant(self).map(|at| self.ago(at))),
            Arg::Date(date) => self.or_unknown(date.instant(self).map(|at| self.date(at))),
            Arg::Message(message) => self.say(message),
        }
    }

    fn or_unknown<T: ToString, E: std::error::Error>(&self, shown: Result<T, E>) -> Phrase {
        shown.map_or_else(
            |error| {
                tracing::error!(%error, "a message holds what cannot be shown");
                self.language.catalogue().phrase("unknown")
            },
            |shown| Phrase::verbatim(shown.to_string()),
        )
    }
}

#[cfg(test)]
mod tests {
    use keepwell_engine::moment::Moment;
    use keepwell_engine::quantity::Unit;

    use super::*;
    use crate::web::reader::Units;
    use crate::web::reader::tests::reader;

    #[test]
    fn a_message_is_said_in_the_readers_units() {
        // 1 US gal = 3.785411784 L (NIST SP 811, table B.8), so 100 gal are 378.5411784 L.
        let message = Message::new("{Vessel} holds {litres}, <b>{cans}</b>, read {when}; {why}.")
            .with("vessel", Arg::text("east <b>"))
            .with("litres", Arg::Figure(378.541_178_4, Unit::Litre))
            .with("cans", Arg::Counted { count: 1, one: "{n} can", other: "{n} cans" })
            .with("when", Arg::Moment(Moment::from_micros(1_772_608_200_000_000 - 1_800_000_000)))
            .with("why", Message::new("limit {max}").with("max", Arg::Exact(378.541_178_4, Unit::Litre)).into());
        let said = |units| reader(units).say(&message).to_string().replace('\u{a0}', " ");
        assert_eq!(said(Units::Metric), "East <b> holds 379 L, 1 can, read today 07:40; limit 378.5411784 L.");
        assert_eq!(said(Units::Us), "East <b> holds 100 US gal, 1 can, read today 07:40; limit 100 US gal.");
    }

    #[test]
    fn what_cannot_be_shown_is_said_to_be_unknown() {
        let message = Message::new("{litres} since {when}")
            .with("litres", Arg::Figure(f64::NAN, Unit::Litre))
            .with("when", Arg::Day(Moment::from_micros(i64::MAX)));
        assert_eq!(reader(Units::Metric).say(&message).to_string(), "unknown since unknown");
    }
}
