//! Names that look alike: what one pair of eyes takes for the same mark or the same person.

use unicode_normalization::UnicodeNormalization;

/// A letter that looks like a plain one, as the plain one: full-width forms, and the Cyrillic and Greek letters that
/// are drawn as Latin ones are. A short list from the alphabets themselves; nothing else is changed.
const fn plain(c: char) -> char {
    match c {
        // Full-width forms stand at a fixed distance from ASCII (Unicode block FF00).
        '\u{ff01}'..='\u{ff5e}' => match char::from_u32(c as u32 - 0xfee0) {
            Some(plain) => plain,
            None => c,
        },
        'а' | 'А' | 'α' | 'Α' => 'a',
        'В' | 'в' | 'Β' | 'β' => 'b',
        'с' | 'С' | 'ϲ' | 'Ϲ' => 'c',
        'ԁ' => 'd',
        'е' | 'Е' | 'ё' | 'Ё' | 'Ε' | 'ε' => 'e',
        'ɡ' => 'g',
        'Н' | 'Η' | 'һ' | 'Һ' => 'h',
        'і' | 'І' | 'Ι' | 'ι' | 'ı' => 'i',
        'ј' | 'Ј' => 'j',
        'К' | 'к' | 'Κ' | 'κ' => 'k',
        'ӏ' | 'Ӏ' => 'l',
        'М' | 'м' | 'Μ' => 'm',
        'Ν' | 'п' => 'n',
        'о' | 'О' | 'ο' | 'Ο' | 'σ' => 'o',
        'р' | 'Р' | 'ρ' | 'Ρ' => 'p',
        'ԛ' => 'q',
        'г' => 'r',
        'ѕ' | 'Ѕ' => 's',
        'Т' | 'т' | 'Τ' | 'τ' => 't',
        'υ' => 'u',
        'ν' | 'ѵ' => 'v',
        'ԝ' | 'ω' => 'w',
        'х' | 'Х' | 'χ' | 'Χ' => 'x',
        'у' | 'У' | 'γ' | 'Υ' => 'y',
        'Ζ' => 'z',
        _ => c,
    }
}

/// A person's name with letter case, blanks, punctuation, marks nobody sees and look-alike letters evened out.
///
/// ```
/// use proofmark::book::alike::person;
/// assert_eq!(person("Ann Lee"), person("ann\u{200b}-LEE."));
/// assert_ne!(person("Ann Lee"), person("Anna Lee"));
/// ```
pub fn person(name: &str) -> String {
    // Taken apart (Unicode Standard Annex 15, form KD), a letter stands without its accents.
    name.chars()
        .map(plain)
        .nfkd()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .map(plain)
        .collect()
}

/// Whether two names are one person's, as far as names tell: however their accents are encoded or left out, and
/// whichever of the names comes first.
///
/// ```
/// use proofmark::book::alike::same_person;
/// assert!(same_person("Ren\u{e9} Roy", "Rene\u{301} Roy"));
/// assert!(same_person("Ren\u{e9} Roy", "Roy, Rene"));
/// assert!(!same_person("Ren\u{e9} Roy", "Renate Roy"));
/// ```
pub fn same_person(one: &str, other: &str) -> bool {
    let names = |name: &str| {
        let mut names: Vec<String> = name
            .split(|c: char| {
                c.is_whitespace() || c.is_ascii_punctuation() || matches!(c, '\u{2010}'..='\u{2015}')
            })
            .map(person)
            .filter(|name| !name.is_empty())
            .collect();
        names.sort();
        names
    };
    person(one) == person(other) || names(one) == names(other)
}

/// A stamped mark as eyes take it: O for zero, I and l for one, whatever the case, blanks and hyphens; a hyphen
/// between two digits is kept, because 1-12 and 11-2 are two marks.
///
/// ```
/// use proofmark::book::alike::mark;
/// assert_eq!(mark("MF-10"), mark("MF 1O"));
/// assert_eq!(mark("MF-10"), mark("mf_l0"));
/// assert_ne!(mark("MF-1-12"), mark("MF-11-2"));
/// ```
pub fn mark(serial: &str) -> String {
    let mut seen = String::with_capacity(serial.len());
    let mut gap = false;
    for c in serial.chars().map(plain) {
        let c = match c {
            'o' | 'O' => '0',
            'i' | 'I' | 'l' | '|' => '1',
            other => other.to_ascii_lowercase(),
        };
        if !c.is_alphanumeric() {
            // Marks nobody sees are no gap: they are not there.
            gap |= c.is_whitespace() || c.is_ascii_punctuation() || matches!(c, '\u{2010}'..='\u{2015}');
            continue;
        }
        if gap && c.is_ascii_digit() && seen.ends_with(|before: char| before.is_ascii_digit()) {
            seen.push('-');
        }
        gap = false;
        seen.push(c);
    }
    seen
}

/// Whether two marks look alike: as [`mark`] sees them, or but for the case of their letters.
pub fn marks(one: &str, other: &str) -> bool {
    mark(one) == mark(other) || mark(&one.to_uppercase()) == mark(&other.to_uppercase())
}
