//! How many years of school a text asks for.

/// The Flesch-Kincaid grade: 0.39 words a sentence + 11.8 syllables a word - 15.59 (Kincaid, Fishburne, Rogers & Chissom
/// 1975, *Derivation of new readability formulas for Navy enlisted personnel*, Research Branch Report 8-75). Grade 7 is
/// school year 8 of England, an age of twelve.
pub(super) fn school_grade(text: &str) -> f64 {
    let mut sentences = 0.0;
    let (mut words, mut syllables) = (0.0, 0.0);
    for line in text.lines() {
        // Headings and cells of the page are no sentences.
        if !line.trim_end().ends_with(['.', '?', '!']) {
            continue;
        }
        for sentence in line.split_inclusive(['.', '?', '!', ':']) {
            let spoken: Vec<usize> = sentence.split_whitespace().map(syllables_of).collect();
            let spoken: Vec<usize> = spoken.into_iter().filter(|n| *n > 0).collect();
            if spoken.is_empty() {
                continue;
            }
            sentences += 1.0;
            words += spoken.len() as f64;
            syllables += spoken.iter().sum::<usize>() as f64;
        }
    }
    assert!(words > 0.0, "no sentence in {text}");
    0.39 * words / sentences + 11.8 * syllables / words - 15.59
}

/// Groups of vowels, less a silent e at the end; a number is one.
fn syllables_of(word: &str) -> usize {
    let letters: String = word
        .to_lowercase()
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect();
    if letters.chars().any(|c| c.is_ascii_digit()) {
        return 1;
    }
    if letters.is_empty() {
        return 0;
    }
    let vowel = |c: char| "aeiouy".contains(c);
    let mut groups = 0;
    let mut before = false;
    for letter in letters.chars() {
        groups += usize::from(vowel(letter) && !before);
        before = vowel(letter);
    }
    let silent = letters.ends_with('e') && !letters.ends_with("le") && groups > 1;
    (groups - usize::from(silent)).max(1)
}

/// The example of the formula's arithmetic: 9 words and 11 syllables in one sentence, counted by hand.
#[test]
fn a_sentence_counted_by_hand() {
    let grade = school_grade("The greenkeeper laid the sheet over half the plots.");
    let by_hand = 0.39 * 9.0 + 11.8 * 12.0 / 9.0 - 15.59;
    assert!((grade - by_hand).abs() < 1e-12, "{grade} {by_hand}");
}
