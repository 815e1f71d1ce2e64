//! Tastings: what is read when and by whom, guests by links, triangles and rankings on phones and on paper.

mod aged;
mod guests;
mod seen;
mod taken_along;
mod tests_of_difference;
mod together;

use crate::batches::{a_maker, started};
use crate::support::{Browser, Club, Page, Person, a_member};

/// A host with batches that the club sees.
pub struct Hosted {
    pub host: Person,
    pub browser: Browser,
    /// Public ids of the batches.
    pub batches: Vec<String>,
}

/// Ada with so many batches, called "Batch 1" and so on.
pub async fn hosted(club: &Club, batches: usize) -> Hosted {
    let (host, browser, recipe) = a_maker(club, "Ada").await;
    let mut ids = Vec::new();
    for number in 1..=batches {
        let name = format!("Batch {number}");
        let batch = started(&browser, &recipe, &[("What it is called", &name)]).await;
        ids.push(batch.rsplit('/').next().expect("an id").to_owned());
    }
    Hosted {
        host,
        browser,
        batches: ids,
    }
}

impl Hosted {
    /// Opens a tasting by its form; its address.
    pub async fn opens(&self, kind: &str, labelled: &[(&str, &str)]) -> String {
        let done = self.tries(kind, labelled).await;
        assert_eq!(done.status, 303, "{}", done.text);
        crate::batches::address(done.location())
    }

    /// Sends the form that opens a tasting of all the batches.
    pub async fn tries(&self, kind: &str, labelled: &[(&str, &str)]) -> Page {
        let meads: String = self
            .batches
            .iter()
            .map(|id| format!("&mead={id}"))
            .collect();
        let form = self
            .browser
            .get(&format!("/tastings/new?kind={kind}{meads}"))
            .await;
        let usual = [("What it is called", "First look")];
        // What is told here counts before what is usual.
        let labelled: Vec<_> = labelled.iter().chain(&usual).copied().collect();
        self.browser.submit(&form, "Open it", &labelled).await
    }

    /// Closes a tasting.
    pub async fn closes(&self, tasting: &str) {
        let page = self.browser.get(tasting).await;
        let done = self.browser.submit(&page, "Close the tasting", &[]).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
}

/// Another member, signed in.
pub async fn member(club: &Club, name: &str) -> Browser {
    let person = a_member().named(name).of(club).await;
    club.browser_of(&person).await
}

/// Takes a seat as a member; the page of the seat.
pub async fn seated(browser: &Browser, tasting: &str) -> Page {
    let page = browser.get(tasting).await;
    let done = browser.submit(&page, "Taste along", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    browser.follow(done).await
}

/// Says something of the mead at a place, on the sheet at this address.
pub async fn says(browser: &Browser, seat: &str, place: usize, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get(&format!("{seat}/{place}")).await;
    browser.submit(&form, "Write it down", labelled).await
}

/// The paths of the links that a page of new links shows.
pub fn links_of(page: &Page) -> Vec<String> {
    let rest = page.text.split("/taste/").skip(1);
    let tokens = rest.map(|rest| {
        rest.chars()
            .take_while(char::is_ascii_alphanumeric)
            .collect()
    });
    tokens
        .map(|token: String| format!("/taste/{token}"))
        .collect()
}

/// Makes so many links for guests.
pub async fn invited(host: &Browser, tasting: &str, guests: usize) -> Vec<String> {
    let form = host.get(&format!("{tasting}/guests")).await;
    let count = guests.to_string();
    let fields = [("How many guests", count.as_str())];
    let page = host.submit(&form, "Make the links", &fields).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let links = links_of(&page);
    assert_eq!(links.len(), guests, "{}", page.text);
    links
}

/// Comes in by a link under a name; the address of the guest's own sheet.
pub async fn comes_in(guest: &Browser, link: &str, name: &str) -> String {
    let page = guest.get(link).await;
    let done = guest
        .submit(&page, "Take a seat", &[("Your name", name)])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    done.location().expect("a seat").to_owned()
}
