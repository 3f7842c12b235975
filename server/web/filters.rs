//! The filters of the templates: words, figures and dates as the reader wants them.
//!
//! A template's file has `use crate::web::filters;` in scope and is rendered with
//! `render_with_values(&reader)`. Words with arguments are a chain:
//! `{{ "Last dipped {when}, {litres}."|t|with("when", dipped|ago)|with("litres", litres|volume) }}`.

use std::borrow::Borrow;

use askama::Values;
use jiff::Timestamp;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Mass;
use keepwell_engine::quantity::MassConcentration;
use keepwell_engine::quantity::Power;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;

use crate::model::message::Message;
use crate::web::assets;
use crate::web::dates::When;
use crate::web::figures::ADay;
use crate::web::figures::AMinute;
use crate::web::figures::AnHour;
use crate::web::figures::Bare;
use crate::web::figures::Figure;
use crate::web::figures::Hours;
use crate::web::figures::Shown;
use crate::web::reader::Reader;
use crate::web::words::Fill;
use crate::web::words::Phrase;

fn reader(values: &dyn Values) -> askama::Result<&Reader> {
    askama::get_value::<Reader>(values, Reader::KEY)
}

fn shown(values: &dyn Values, value: f64, unit: Unit) -> askama::Result<Shown> {
    reader(values)?.figure(value, unit).map_err(askama::Error::custom)
}

fn instant(values: &dyn Values, when: &impl When) -> askama::Result<Timestamp> {
    when.instant(reader(values)?).map_err(askama::Error::custom)
}

/// The address of a file of ours: `{{ "keepwell.css"|asset }}`.
#[askama::filter_fn]
pub fn asset(name: &str, _: &dyn Values) -> askama::Result<&'static str> {
    assets::asset(name).ok_or_else(|| askama::Error::custom(format!("there is no static/{name}")))
}

/// English words in the reader's language.
#[askama::filter_fn]
pub fn t<T: AsRef<str>>(text: T, values: &dyn Values) -> askama::Result<Phrase> {
    Ok(reader(values)?.language.catalogue().phrase(text.as_ref()))
}

/// So many of something: `{{ "{n} can"|tn("{n} cans", count) }}`.
#[askama::filter_fn]
pub fn tn<T: AsRef<str>, N: Figure<Bare>>(
    one: T,
    values: &dyn Values,
    other: &str,
    count: N,
) -> askama::Result<Phrase> {
    let count = count.value();
    if !(count >= 0.0 && count.fract() == 0.0) {
        return Err(askama::Error::custom(format!("{count} is not how many of \"{other}\"")));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and not negative; saturates")]
    let count = count as u64;
    Ok(reader(values)?.plural(one.as_ref(), other, count))
}

/// Fills a place of a phrase.
#[askama::filter_fn]
pub fn with<P: Fill, F: Fill>(phrase: P, _: &dyn Values, name: &str, value: F) -> askama::Result<Phrase> {
    Ok(phrase.phrase().with(name, value))
}

/// The words with a capital, as a sentence begins.
#[askama::filter_fn]
pub fn begin<P: Fill>(phrase: P, _: &dyn Values) -> askama::Result<Phrase> {
    Ok(phrase.phrase().capital())
}

/// A message of a finding or an error, said.
#[askama::filter_fn]
pub fn say(message: &Message, values: &dyn Values) -> askama::Result<Phrase> {
    Ok(reader(values)?.say(message))
}

/// Litres or US gallons.
#[askama::filter_fn]
pub fn volume<F: Figure<Volume>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Litre)
}

/// The number of [`volume`].
#[askama::filter_fn]
pub fn volume_number<F: Figure<Volume>>(value: F, values: &dyn Values) -> askama::Result<String> {
    Ok(shown(values, value.value(), Unit::Litre)?.number)
}

/// The unit of [`volume`].
#[askama::filter_fn]
pub fn volume_unit<F: Figure<Volume>>(value: F, values: &dyn Values) -> askama::Result<&'static str> {
    Ok(shown(values, value.value(), Unit::Litre)?.unit)
}

/// Metres, or feet and inches.
#[askama::filter_fn]
pub fn length<F: Figure<Length>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Metre)
}

/// Metres, as centimetres or inches.
#[askama::filter_fn]
pub fn depth_cm<F: Figure<Length>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    reader(values)?.depth(value.value()).map_err(askama::Error::custom)
}

/// °C, as °C or °F.
#[askama::filter_fn]
pub fn temperature<F: Figure<Bare>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Celsius)
}

/// Kilopascals or psi.
#[askama::filter_fn]
pub fn pressure<F: Figure<Bare>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Kilopascal)
}

/// Watts, or kilowatts from a thousand.
#[askama::filter_fn]
pub fn power<F: Figure<Power>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Watt)
}

/// Watt-hours, or kilowatt-hours from a thousand.
#[askama::filter_fn]
pub fn energy<F: Figure<Bare>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::WattHour)
}

/// Kilograms or pounds.
#[askama::filter_fn]
pub fn weight<F: Figure<Mass>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Kilogram)
}

/// mg/L.
#[askama::filter_fn]
pub fn concentration<F: Figure<MassConcentration>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::MilligramPerLitre)
}

/// "12.7 L a day".
#[askama::filter_fn]
pub fn a_day<F: Figure<ADay>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::LitrePerDay)
}

/// "0.9 L an hour".
#[askama::filter_fn]
pub fn an_hour<F: Figure<AnHour>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::LitrePerHour)
}

/// "24 L a minute".
#[askama::filter_fn]
pub fn a_minute<F: Figure<AMinute>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::LitrePerMinute)
}

/// "8.3 days", "over 2 years".
#[askama::filter_fn]
pub fn days<F: Figure<Time>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Day)
}

/// The number of [`days`].
#[askama::filter_fn]
pub fn days_number<F: Figure<Time>>(value: F, values: &dyn Values) -> askama::Result<String> {
    Ok(shown(values, value.value(), Unit::Day)?.number)
}

/// The unit of [`days`].
#[askama::filter_fn]
pub fn days_unit<F: Figure<Time>>(value: F, values: &dyn Values) -> askama::Result<&'static str> {
    Ok(shown(values, value.value(), Unit::Day)?.unit)
}

/// "31 hours".
#[askama::filter_fn]
pub fn hours<F: Figure<Hours>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Hour)
}

/// A part of the whole, 0 to 1, in per cent.
#[askama::filter_fn]
pub fn percent<F: Figure<Bare>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Fraction)
}

/// How many, with the thousands apart.
#[askama::filter_fn]
pub fn count<F: Figure<Bare>>(value: F, values: &dyn Values) -> askama::Result<Shown> {
    shown(values, value.value(), Unit::Count)
}

/// A figure of any unit, rounded: `{{ value|figure(unit) }}`.
#[askama::filter_fn]
pub fn figure<F: Figure<Bare>, U: Borrow<Unit>>(value: F, values: &dyn Values, unit: U) -> askama::Result<Shown> {
    shown(values, value.value(), *unit.borrow())
}

/// A figure of any unit with every digit: what was typed, or a limit.
#[askama::filter_fn]
pub fn exact<F: Figure<Bare>, U: Borrow<Unit>>(value: F, values: &dyn Values, unit: U) -> askama::Result<Shown> {
    reader(values)?.exact(value.value(), *unit.borrow()).map_err(askama::Error::custom)
}

/// The sign of a unit as the reader sees it, for a label: `{{ unit|sign }}`.
#[askama::filter_fn]
pub fn sign<U: Borrow<Unit>>(unit: U, values: &dyn Values) -> askama::Result<&'static str> {
    Ok(reader(values)?.sign(*unit.borrow()))
}

/// Whether the reader reads in the units of that code: for `aria-pressed` on the button that chooses them.
#[askama::filter_fn]
pub fn reads_in(code: &str, values: &dyn Values) -> askama::Result<bool> {
    Ok(reader(values)?.units.code() == code)
}

/// "Wednesday 4 March", with the year if it is another.
#[askama::filter_fn]
pub fn day<W: When>(when: W, values: &dyn Values) -> askama::Result<String> {
    Ok(reader(values)?.day(instant(values, &when)?))
}

/// "4 March", with the year if it is another.
#[askama::filter_fn]
pub fn date<W: When>(when: W, values: &dyn Values) -> askama::Result<String> {
    Ok(reader(values)?.date(instant(values, &when)?))
}

/// "today 07:40", "Wednesday 4 March, 08:10".
#[askama::filter_fn]
pub fn moment<W: When>(when: W, values: &dyn Values) -> askama::Result<String> {
    Ok(reader(values)?.moment(instant(values, &when)?))
}

/// "Saturday 7 March, about midday".
#[askama::filter_fn]
pub fn part_of_day<W: When>(when: W, values: &dyn Values) -> askama::Result<String> {
    Ok(reader(values)?.part_of_day(instant(values, &when)?))
}

/// "41 days ago", "in 5 days".
#[askama::filter_fn]
pub fn ago<W: When>(when: W, values: &dyn Values) -> askama::Result<String> {
    Ok(reader(values)?.ago(instant(values, &when)?))
}

/// For `<time datetime>`.
#[askama::filter_fn]
pub fn machine<W: When>(when: W, values: &dyn Values) -> askama::Result<String> {
    when.machine(reader(values)?).map_err(askama::Error::custom)
}

#[cfg(test)]
mod tests {
    use askama::Template;
    use keepwell_engine::moment::Moment;
    use keepwell_engine::quantity::litres;

    use super::*;
    use crate::model::message::Arg;
    use crate::web::filters;
    use crate::web::reader::Units;
    use crate::web::reader::tests::reader;

    #[derive(Template)]
    #[template(
        source = r#"<p title="{{ "A & B"|t }}">{{ "{Name} holds <b>{litres}</b>, dipped {when}."|t|with("name", name)|with("litres", held|volume)|with("when", dipped|ago) }}</p>
<p>{{ held|volume_number }} <small>{{ held|volume_unit }}</small>, {{ 12.5|volume }}, {{ "{n} can"|tn("{n} cans", cans) }}, {{ cans|count }}</p>
<p>{{ message|say }} {% for finding in findings %}{{ finding|say }}{% endfor %} {{ dipped|moment|begin }} {{ unit|sign }} {{ 2.0|figure(unit) }}</p>
<time datetime="{{ dipped|machine }}">{{ dipped|day }}</time>"#,
        ext = "html"
    )]
    struct Page {
        name: String,
        held: Volume,
        dipped: Moment,
        cans: u32,
        message: Message,
        findings: Vec<Message>,
        unit: Unit,
    }

    fn page() -> Page {
        Page {
            name: "<east>".into(),
            held: litres(4687.0),
            dipped: Moment::from_micros(1_772_608_200_000_000),
            cans: 24,
            message: Message::new("{what} & more").with("what", Arg::text("<i>")),
            findings: vec![Message::new("Overdue.")],
            unit: Unit::Litre,
        }
    }

    /// 4,687 L ÷ 3.785411784 = 1,238.2 US gal; 12.5 L = 3.30 gal (factor: NIST SP 811, table B.8).
    #[test]
    fn a_page_speaks_to_its_reader() {
        let rendered = |units| page().render_with_values(&reader(units)).unwrap().replace('\u{a0}', " ");
        assert_eq!(
            rendered(Units::Metric),
            r#"<p title="A &#38; B">&#60;east&#62; holds <b>4,687 L</b>, dipped just now.</p>
<p>4,687 <small>L</small>, 13 L, 24 cans, 24</p>
<p>&#60;i&#62; &#38; more Overdue. Today 08:10 L 2 L</p>
<time datetime="2026-03-04T07:10:00Z">Wednesday 4 March</time>"#
        );
        assert!(rendered(Units::Us).contains("<b>1,238 US gal</b>"));
        assert!(rendered(Units::Us).contains("3.3 US gal, 24 cans"));
    }

    #[test]
    fn a_page_without_its_reader_or_with_an_open_place_fails() {
        assert!(page().render().is_err());

        #[derive(Template)]
        #[template(source = r#"{{ "Holds {litres}"|t }}"#, ext = "html")]
        struct Open;
        let error = Open.render_with_values(&reader(Units::Metric)).unwrap_err();
        assert!(error.to_string().contains("{litres}"), "{error}");
    }

    #[test]
    fn what_is_no_figure_fails_the_page() {
        #[derive(Template)]
        #[template(source = "{{ value|volume }}", ext = "html")]
        struct Wrong {
            value: f64,
        }
        for value in [f64::NAN, f64::INFINITY] {
            assert!(Wrong { value }.render_with_values(&reader(Units::Metric)).is_err());
        }
    }
}
