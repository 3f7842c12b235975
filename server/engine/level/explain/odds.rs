//! How often what happens happens: the odds by which explanations are weighed, and how many are kept.
//!
//! None of these is published anywhere: common practice, no source, unless one is named. They are the shape of life
//! around a tank (a stick misread once in some sixty dips, a bucket taken and not written down), not a fit to data.

/// A dip that is plainly wrong.
pub const WRONG_DIP: f64 = 1.0 / 60.0;
/// A wrong dip is by a slip that one can name (a hundred off, two digits swapped, the other end) this often; else by
/// anything.
pub const NAMED_SLIP: f64 = 0.92;
/// A slip changes a dip by this many millimetres or more: less is not told from the stick's own error.
pub const LEAST_SLIP_MM: f64 = 60.0;
/// What one is off by who misreads the hundreds.
pub const HUNDRED_MM: f64 = 100.0;
/// A reading by sight, eye, sensor or counter that is plainly wrong.
pub const WRONG_OTHER: f64 = 1.0 / 1000.0;

/// A draw that nobody logged, from a vessel that stands: chance a day.
pub const DRAW_A_DAY: f64 = 0.012 / 7.0;
/// The same from a vessel in daily use, where it is use like any other unless it is large.
pub const DRAW_IN_USE_A_DAY: f64 = 0.000_2;
/// The usual draw that nobody logged, least and most in litres.
pub const USUAL_DRAW: (f64, f64) = (20.0, 100.0);
/// ... and at most this part of what is there.
pub const USUAL_DRAW_PART: f64 = 0.3;
/// One draw in so many is not a usual one, but anything up to all there is.
pub const UNUSUAL_DRAW: f64 = 0.04;

/// A vessel in use that is found lower than this part of the brim is filled.
pub const LOW: f64 = 0.42;
/// ... and this often nobody logs the fill.
pub const FILL_AT_LOW: f64 = 0.08;
/// A vessel that stands, found not full, is filled on a visit and nobody logs it.
pub const FILL_AT_VISIT: f64 = 0.002;
/// Of fills on a visit, the part that goes to the top; the others are by meter, to [`NEARLY_FULL`] of the brim.
pub const TO_TOP: f64 = 0.6;
/// Where a fill by meter stops, as a part of the brim.
pub const NEARLY_FULL: f64 = 0.92;
/// One standard deviation of [`NEARLY_FULL`].
pub const NEARLY_FULL_SD: f64 = 0.012;
/// A fill of any amount at any time that nobody logged: chance a day.
pub const FILL_A_DAY: f64 = 0.000_1;

/// A leak begins in a vessel that stands: chance a day.
pub const LEAK_A_DAY: f64 = 0.002;
/// A leak ends, mended or clogged: chance a day.
pub const LEAK_ENDS_A_DAY: f64 = 0.000_3;
/// What a young leak may run at: mean and one standard deviation in litres a day, and how many in all are of it. A drip,
/// a thread and a tap not quite closed; and whatever else runs, in two broad shares.
pub const LEAKS: [(f64, f64, f64); 5] =
    [(2.0, 0.25, 0.31), (5.0, 0.6, 0.31), (20.0, 2.2, 0.31), (8.0, 6.0, 0.05), (50.0, 30.0, 0.02)];
/// A slower leak than this, in litres a day, is none.
pub const LEAST_LEAK: f64 = 0.6;
/// The beginning of a leak is looked for at most once in so many days, however many readings there are.
pub const LEAK_LOOK_DAYS: f64 = 0.25;
/// A leak is claimed when the explanations with one outweigh the others so far.
pub const CLAIM: f64 = 0.75;
/// A reading is named as not fitting when the explanations that say so have this part of the weight.
pub const NAMED: f64 = 0.4;

/// Explanations that together weigh less than this do not widen the litres' band, which is for eight times in ten.
pub const DOUBT: f64 = 0.006;

/// Mean use a day as a part of the brim before anything is known: mean and one standard deviation.
pub const USE_AT_FIRST: (f64, f64) = (0.015, 0.01);
/// One standard deviation of a day's use, as a part of the mean.
pub const USE_OF_A_DAY: f64 = 0.35;
/// The mean of use wanders by this part of itself a day, one standard deviation.
pub const USE_WANDERS: f64 = 0.024;

/// One standard deviation of a dip in millimetres: a stick in still water (`engineering` 10.1).
pub const DIP_MM: f64 = 4.0;
/// A stick is read to the millimetre.
pub const DIP_STEP_MM: f64 = 1.0;
/// One standard deviation of a sensor's reading, new each time.
pub const SENSOR_MM: f64 = 2.0;
/// ... and once for its life.
pub const SENSOR_OFFSET_MM: f64 = 7.0;
/// One standard deviation of a sight glass, new each time.
pub const SIGHT_MM: f64 = 5.0;
/// ... and once for its life, as a part of the volume.
pub const SIGHT_SCALE: f64 = 0.01;
/// By eye a level is told to the nearest quarter: half of one either way, as a part of the brim.
pub const EYE_REACH: f64 = 0.125;
/// The border between two quarters is not sharp: one standard deviation, as a part of the brim.
pub const EYE_BORDER: f64 = 0.01;

/// Explanations carried from one reading to the next.
pub const KEPT: usize = 24;
/// Children of them that are worked out in full before the best are kept.
pub const TRIED: usize = 56;
/// An explanation this much less likely (natural logarithm) than the best is dropped.
pub const HOPELESS: f64 = 17.0;
/// From so many events on, those of explanations that were dropped are forgotten.
pub const MANY_EVENTS: usize = 2048;
