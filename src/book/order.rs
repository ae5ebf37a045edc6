//! The order in which things happened, the same in every book that holds the same entries.

use super::Entry;

/// Put entries in the order they happened: by day; within a day an entry comes after every one its writer's book
/// held already, whatever a clock that was set back says; and what was written apart, by when it was written.
pub fn in_order<T>(items: &mut Vec<T>, entry: impl Fn(&T) -> &Entry) {
    items.sort_by_key(|item| entry(item).timeline_key());
    let mut done = Vec::with_capacity(items.len());
    let mut left = std::mem::take(items).into_iter().peekable();
    while let Some(first) = left.next() {
        let day = entry(&first).entry.happened_on;
        let mut same_day = vec![first];
        while let Some(next) = left.next_if(|next| entry(next).entry.happened_on == day) {
            same_day.push(next);
        }
        if same_day.windows(2).all(|pair| entry(&pair[0]).origin == entry(&pair[1]).origin) {
            same_day.sort_by_key(|item| entry(item).sequence);
            done.append(&mut same_day);
        } else {
            after_what_was_known(same_day, &entry, &mut done);
        }
    }
    *items = done;
}

/// Of those that wait for nothing, the one written first; and so on.
fn after_what_was_known<T>(mut waiting: Vec<T>, entry: &impl Fn(&T) -> &Entry, done: &mut Vec<T>) {
    while !waiting.is_empty() {
        let free = waiting
            .iter()
            .position(|one| !waiting.iter().any(|other| entry(one).knew(entry(other))))
            // Two that each claim to have known the other are no honest book's; take them as they come.
            .unwrap_or(0);
        done.push(waiting.remove(free));
    }
}
