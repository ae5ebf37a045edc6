//! Charts as SVG, drawn by plotters, with a title and a description for those who cannot see them.

use maud::{Markup, PreEscaped, html};
use plotters::prelude::*;

use super::super::text::clean;
use crate::desk::paper::Plot;
use crate::trace::ChannelUnit;

const INK: RGBColor = RGBColor(0x11, 0x11, 0x11);
const GRID: RGBColor = RGBColor(0xbb, 0xbb, 0xbb);
const THRUST: RGBColor = RGBColor(0x0b, 0x3d, 0x91);
const PRESSURE: RGBColor = RGBColor(0x8b, 0x1a, 0x1a);
const SIZE: (u32, u32) = (900, 320);

/// A line of a chart across its whole width.
pub(super) struct Level {
    pub(super) name: String,
    pub(super) at: f64,
}

/// Put a title and a description into a drawing, and let it scale.
fn described(svg: &str, title: &str, description: &str) -> Markup {
    let Some(end) = svg.find('>') else { return html! { p { "no drawing" } } };
    let (head, rest) = svg.split_at(end + 1);
    // Plotters writes a fixed width and height beside the view box: the page decides the size.
    let head = head.replacen("<svg ", "<svg role=\"img\" ", 1);
    let said = html! { title { (clean(title)) } desc { (clean(description)) } }.into_string();
    PreEscaped(format!("{head}{said}{rest}"))
}

/// One channel over time.
#[allow(clippy::too_many_arguments, reason = "what a chart is made of")]
fn line_chart(
    title: &str,
    description: &str,
    axis: (&str, &str),
    points: &[(f64, f64)],
    mark: Option<(f64, f64)>,
    colour: RGBColor,
) -> Markup {
    let span = |values: &mut dyn Iterator<Item = f64>| {
        values
            .filter(|it| it.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| (low.min(it), high.max(it)))
    };
    let (from, to) = span(&mut points.iter().map(|it| it.0));
    let (low, high) = span(&mut points.iter().map(|it| it.1).chain(mark.map(|it| it.1)));
    // Nothing finite leaves both spans upside down.
    if from >= to || low > high {
        return html! { p { "nothing to draw" } };
    }
    let room = ((high - low) * 0.06).max(1e-12);
    let mut svg = String::new();
    let drawn: Result<(), String> = (|| {
        let area = SVGBackend::with_string(&mut svg, SIZE).into_drawing_area();
        let fault = |error: &dyn std::fmt::Display| error.to_string();
        let mut chart = ChartBuilder::on(&area)
            .margin(6)
            .x_label_area_size(40)
            .y_label_area_size(72)
            .build_cartesian_2d(from..to, (low.min(0.0) - room)..(high + room))
            .map_err(|error| fault(&error))?;
        chart
            .configure_mesh()
            .light_line_style(WHITE)
            .bold_line_style(GRID)
            .axis_style(INK)
            .label_style(("sans-serif", 15).into_font().color(&INK))
            .x_desc(axis.0)
            .y_desc(axis.1)
            .draw()
            .map_err(|error| fault(&error))?;
        chart
            .draw_series(LineSeries::new(points.iter().copied(), colour.stroke_width(2)))
            .map_err(|error| fault(&error))?;
        if let Some(at) = mark {
            chart
                .draw_series(std::iter::once(Circle::new(at, 5, INK.stroke_width(2))))
                .map_err(|error| fault(&error))?;
        }
        area.present().map_err(|error| fault(&error))
    })();
    match drawn {
        Ok(()) => described(&svg, title, description),
        Err(why) => html! { p { "this cannot be drawn: " (clean(&why)) } },
    }
}

/// A trace: one chart a channel.
pub(super) fn trace(plot: &Plot) -> Markup {
    let lines = match &plot.lines {
        Ok(lines) => lines,
        Err(why) => return html! { p { "This trace cannot be drawn again: " (clean(why)) } },
    };
    html! {
        @for line in lines {
            @let (scale, unit) = match line.unit {
                ChannelUnit::N => (1.0, "N"),
                ChannelUnit::Pa => (1e-6, "MPa"),
                ChannelUnit::V => (1.0, "V"),
            };
            @let points: Vec<(f64, f64)> = line.points.iter().map(|(x, y)| (*x, y * scale)).collect();
            @let peak = line.peak.map(|(x, y)| (x, y * scale));
            @let said = format!(
                "{} in {unit} over time in seconds, the zero taken off, from {:.3} s to {:.3} s{}",
                line.what,
                points.first().map_or(0.0, |it| it.0),
                points.last().map_or(0.0, |it| it.0),
                peak.map_or_else(String::new, |(x, y)| format!("; peak {y:.4} {unit} at {x:.4} s, circled")),
            );
            figure {
                (line_chart(
                    &format!("{} of {}", line.what, plot.file),
                    &said,
                    ("time in s", &format!("{} in {unit}", line.what)),
                    &points,
                    peak,
                    if line.what == "thrust" { THRUST } else { PRESSURE },
                ))
                figcaption { (clean(&said)) "." }
            }
        }
    }
}

/// The peaks of a life against the levels that matter, one mark a firing.
pub(super) fn life(peaks: &[(u32, f64)], levels: &[Level]) -> Markup {
    let last = peaks.iter().map(|it| it.0).max().unwrap_or(1);
    let high = peaks.iter().map(|it| it.1).chain(levels.iter().map(|it| it.at)).fold(0.0, f64::max);
    if high <= 0.0 {
        return html! {};
    }
    let mut svg = String::new();
    let drawn: Result<(), String> = (|| {
        let fault = |error: &dyn std::fmt::Display| error.to_string();
        let area = SVGBackend::with_string(&mut svg, (900, 260)).into_drawing_area();
        let end = f64::from(last) + 1.0;
        let mut chart = ChartBuilder::on(&area)
            .margin(6)
            .x_label_area_size(40)
            .y_label_area_size(60)
            .build_cartesian_2d(0.0..end, 0.0..high * 1.15)
            .map_err(|error| fault(&error))?;
        chart
            .configure_mesh()
            .disable_x_mesh()
            .light_line_style(WHITE)
            .bold_line_style(GRID)
            .axis_style(INK)
            .x_labels((last as usize + 2).min(24))
            .x_label_formatter(&|x| if x.fract() == 0.0 { format!("{x:.0}") } else { String::new() })
            .label_style(("sans-serif", 15).into_font().color(&INK))
            .x_desc("firing")
            .y_desc("peak in MPa")
            .draw()
            .map_err(|error| fault(&error))?;
        chart
            .draw_series(peaks.iter().map(|(number, peak)| {
                let x = f64::from(*number);
                Rectangle::new([(x - 0.18, 0.0), (x + 0.18, *peak)], THRUST.filled())
            }))
            .map_err(|error| fault(&error))?;
        for level in levels {
            chart
                .draw_series(std::iter::once(PathElement::new(
                    [(0.0, level.at), (end, level.at)],
                    INK.stroke_width(2),
                )))
                .map_err(|error| fault(&error))?;
            chart
                .draw_series(std::iter::once(Text::new(
                    format!("{} {:.2}", level.name, level.at),
                    (end * 0.005, level.at + high * 0.075),
                    ("sans-serif", 15).into_font().color(&INK),
                )))
                .map_err(|error| fault(&error))?;
        }
        area.present().map_err(|error| fault(&error))
    })();
    let said: Vec<String> =
        peaks.iter().map(|(number, peak)| format!("firing {number} {peak:.2} MPa")).collect();
    match drawn {
        Ok(()) => described(&svg, "Peak pressure of every firing", &said.join(", ")),
        Err(why) => html! { p { "this cannot be drawn: " (clean(&why)) } },
    }
}
