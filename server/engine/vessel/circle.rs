//! The segment of a circle, exact for thin ones too.

/// The area of a circle below a chord at `depth` over its lowest point.
///
/// R²/2 (θ − sin θ), where sin²(θ/4) = h/D: any table of plane figures. For thin segments θ − sin θ is a series, so
/// that the first litre is as exact as the last; above the middle the other side is reckoned.
pub(super) fn segment(radius: f64, depth: f64) -> f64 {
    if depth > radius {
        return core::f64::consts::PI * radius * radius - segment(radius, (2.0 * radius - depth).max(0.0));
    }
    let angle = 4.0 * (depth / (2.0 * radius)).max(0.0).sqrt().min(1.0).asin();
    radius * radius / 2.0 * less_its_sine(angle)
}

/// Half the chord at `depth` over the lowest point of a circle.
pub(super) fn half_chord(radius: f64, depth: f64) -> f64 {
    (depth * (2.0 * radius - depth)).max(0.0).sqrt()
}

/// θ − sin θ without losing the small difference of two equal numbers.
fn less_its_sine(angle: f64) -> f64 {
    if angle > 1.0 {
        return angle - angle.sin();
    }
    // θ³/3! − θ⁵/5! + θ⁷/7! …: eight terms leave less than 1/19! of the first, far below the last digit.
    let square = angle * angle;
    let inner = (1..8).rev().fold(1.0, |sum, term| {
        let n = f64::from(2 * term + 2);
        1.0 - sum * square / (n * (n + 1.0))
    });
    angle * square / 6.0 * inner
}
