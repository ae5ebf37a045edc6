//! The order in which things happened, the same in every book that holds the same entries.

use std::collections::BTreeMap;

use super::{Details, Entry, EntryId, Kind};

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

/// Give every entry that was written again the place of the one it corrects: it says what happened then, and what came
/// after that on the same day still came after it. `all` are the entries of the history with the strikes among them,
/// `order` those of it in order, struck ones still in it. Which entry each corrected one has become comes back.
pub fn in_place_of_what_they_correct(order: &mut Vec<&Entry>, all: &[Entry]) -> BTreeMap<EntryId, EntryId> {
    let mut become_of = BTreeMap::new();
    let mut strikes: Vec<&Entry> = all.iter().filter(|it| it.kind() == Kind::Strike).collect();
    strikes.sort_by_key(|it| it.number);
    for strike in strikes {
        let Details::Strike(record) = &strike.entry.details else { continue };
        let Some(old) = all.iter().find(|it| it.id == record.strikes) else { continue };
        let Some(new) = all.iter().find(|it| corrects(it, strike, old)) else { continue };
        let at = |id: EntryId| order.iter().position(|it| it.id == id);
        if let (Some(to), Some(from)) = (at(old.id), at(new.id)) {
            let entry = order.remove(from);
            order.insert(to.min(order.len()), entry);
            // What was corrected before has become this one, too.
            for now in become_of.values_mut().filter(|now| **now == old.id) {
                *now = new.id;
            }
            become_of.insert(old.id, new.id);
        }
    }
    become_of
}

/// Whether an entry was written straight after the strike of another, of the same day and kind: as its correction.
pub fn corrects(new: &Entry, strike: &Entry, old: &Entry) -> bool {
    new.origin == strike.origin
        && new.sequence == strike.sequence + 1
        && new.kind() == old.kind()
        && new.entry.happened_on == old.entry.happened_on
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
