//! Durations as people say them.

use units::{Length, Span};
use words::{Language, Voice};

/// A duration on a stopwatch: "16 min 20 s", "45 s", "2 h 10 min"; whole seconds below two hours, whole minutes above.
/// Units are spelled out in Bahasa Indonesia.
pub fn clock(span: Span, voice: Voice) -> String {
    let (hours, minutes, seconds) = match voice.language {
        Language::En => ("h", "min", "s"),
        Language::Id => ("jam", "menit", "detik"),
    };
    if !span.0.is_finite() {
        return "–".to_string();
    }
    let sign = if span.0 < -0.5 { "-" } else { "" };
    let whole = span.0.abs().round() as u64;
    if whole >= 7200 {
        let whole = (span.0.abs() / 60.0).round() as u64;
        return match whole % 60 {
            0 => format!("{sign}{} {hours}", whole / 60),
            rest => format!("{sign}{} {hours} {rest} {minutes}", whole / 60),
        };
    }
    match (whole / 60, whole % 60) {
        (0, s) => format!("{sign}{s} {seconds}"),
        (m, 0) => format!("{sign}{m} {minutes}"),
        (m, s) => format!("{sign}{m} {minutes} {s} {seconds}"),
    }
}

/// A width of wax: always in millimetres, "0.7 mm".
pub fn millimetres(width: Length, voice: Voice) -> String {
    format!("{} mm", voice.number(width.to_mm(), 1))
}

/// To the nearest `step` seconds.
pub(crate) fn rounded(span: Span, step: f64) -> Span {
    Span((span.0 / step).round() * step)
}

/// Up to a multiple of `step` seconds.
pub(crate) fn up(span: Span, step: f64) -> Span {
    Span((span.0 / step - 1e-9).ceil() * step)
}

/// Down to a multiple of `step` seconds.
pub(crate) fn down(span: Span, step: f64) -> Span {
    Span((span.0 / step + 1e-9).floor() * step)
}

#[cfg(test)]
mod tests {
    use super::{clock, down, up};
    use units::{Span, System};
    use words::{Language, Voice};

    #[test]
    fn durations_are_spelled_for_their_reader() {
        let say = |seconds, language| {
            clock(
                Span(seconds),
                Voice {
                    language,
                    system: System::Metric,
                },
            )
        };
        assert_eq!(say(980.4, Language::En), "16 min 20 s");
        assert_eq!(say(980.4, Language::Id), "16 menit 20 detik");
        assert_eq!(say(45.0, Language::Id), "45 detik");
        assert_eq!(say(59.7, Language::En), "1 min");
        assert_eq!(say(-25.0, Language::En), "-25 s");
        assert_eq!(say(7800.0, Language::En), "2 h 10 min");
        assert_eq!(say(57_600.0, Language::Id), "16 jam");
    }

    #[test]
    fn a_window_is_never_rounded_wider() {
        assert_eq!(
            (up(Span(361.0), 10.0), down(Span(369.0), 10.0)),
            (Span(370.0), Span(360.0))
        );
        assert_eq!(
            (up(Span(360.0), 10.0), down(Span(360.0), 10.0)),
            (Span(360.0), Span(360.0))
        );
    }
}
