//! What a night of the method would take on all of the ground.

use super::super::NightCost;
use crate::text::money::{about, hours, many};
use crate::text::spelling::{list, number};

/// Sheet, weights, work and money for a night, as far as they are known.
pub(super) fn cost(night: &NightCost) -> String {
    let ground = match night.greens {
        1 => "the whole green".to_owned(),
        n => format!("all of the {n} greens"),
    };
    let weights = night
        .weights
        .map_or_else(String::new, |n| format!(" and {n} weights"));
    let under = if night.names.is_empty() {
        String::new()
    } else {
        format!(" ({})", list(&night.names))
    };
    let mut told = vec![format!(
        "One night on {ground}{under} takes {} m2 of sheet{weights}.",
        many(night.sheet_m2)
    )];
    told.extend(sheet(night));
    told.extend(work(night));
    told.push("These are estimates to plan by.".to_owned());
    told.join(" ")
}

/// What must be bought.
fn sheet(night: &NightCost) -> Option<String> {
    if night.to_buy == 0 {
        return Some("The club has that much sheet.".to_owned());
    }
    let price = night.sheet_price?;
    let currency = night.currency.as_deref().unwrap_or_default();
    Some(format!(
        "To buy the sheet we lack ({}) costs {}. It can be used again.",
        number(night.to_buy, "roll"),
        about(price, currency)
    ))
}

/// What the people do, and what that costs.
fn work(night: &NightCost) -> Option<String> {
    let together = hours(night.person_hours?).replace(" h", " hours");
    let people = match night.people {
        Some(n) if n > 1 => format!(" for {n} people together"),
        _ => String::new(),
    };
    let currency = night.currency.as_deref().unwrap_or_default();
    let price = night.work_price.map_or_else(String::new, |p| {
        format!(", or {} a night", about(p, currency))
    });
    Some(format!(
        "To lay, weigh and lift it is {together} of work{people}{price}."
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn night() -> NightCost {
        NightCost {
            greens: 1,
            names: Vec::new(),
            area_m2: 575.0,
            sheet_m2: 731.4,
            to_buy: 8,
            sheet_price: Some(464.0),
            weights: Some(90),
            people: Some(3),
            person_hours: Some(9.9),
            work_price: Some(163.4),
            currency: Some("GBP".to_owned()),
        }
    }

    #[test]
    fn all_that_is_known_is_told() {
        let told = cost(&night()).replace('\u{a0}', " ");
        assert_eq!(
            told,
            "One night on the whole green takes 731 m2 of sheet and 90 weights. To buy the sheet we lack (8 rolls) costs \
             GBP 464. It can be used again. To lay, weigh and lift it is 10 hours of work for 3 people together, or GBP 163 a \
             night. These are estimates to plan by."
        );
    }

    #[test]
    fn nothing_stands_in_for_what_is_not_known() {
        let bare = NightCost {
            greens: 2,
            names: vec!["sheet".to_owned()],
            sheet_price: None,
            weights: None,
            person_hours: None,
            ..night()
        };
        assert_eq!(
            cost(&bare),
            "One night on all of the 2 greens (sheet) takes 731 m2 of sheet. These are estimates to plan by."
        );
        let owned = NightCost { to_buy: 0, ..bare };
        assert!(cost(&owned).contains("The club has that much sheet."));
    }
}
