//! Rank, bar and figure agree, and a growth within the noise is said as it was read.

use proofmark::tui::App;

use super::support::{demo, options, press, shown};

#[test]
fn the_margins_stand_in_the_order_of_the_figure_that_is_shown() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-76<Enter><Enter>5");
    let screen = shown(&mut app, 100, 40);
    let factors: Vec<f64> = screen
        .lines()
        .skip_while(|line| !line.contains("x MEOP"))
        .skip(1)
        .take_while(|line| line.contains("MPa"))
        .filter(|line| !line.contains('('))
        .filter_map(|line| line.split_whitespace().rev().find_map(|word| word.parse().ok()))
        .collect();
    assert!(factors.len() > 4, "{screen}");
    assert!(factors.windows(2).all(|pair| pair[0] <= pair[1]), "{factors:?}\n{screen}");
}
