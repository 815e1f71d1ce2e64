//! Ways on from a page: its links, and its forms with their fields.

use scraper::{ElementRef, Html, Selector};

use super::chance::Chance;

/// A way on.
#[derive(Debug)]
pub enum Way {
    Link(String),
    Form(Form),
}

/// A form as a browser would send it.
#[derive(Debug)]
pub struct Form {
    pub action: String,
    pub posts: bool,
    fields: Vec<Field>,
    /// Name and value of each button that sends it, where it has its own address that too.
    buttons: Vec<(String, String, String)>,
}

#[derive(Debug)]
struct Field {
    name: String,
    value: Option<String>,
    kind: Kind,
}

#[derive(Debug, PartialEq)]
enum Kind {
    Hidden,
    Text,
    Number,
    /// Ticked or not.
    Choice,
    /// One of several fields of this name.
    Radio,
    Select(Vec<String>),
}

fn select(css: &str) -> Selector {
    Selector::parse(css).expect("a selector")
}

fn attr(element: ElementRef<'_>, name: &str) -> Option<String> {
    element.value().attr(name).map(str::to_owned)
}

fn field(element: ElementRef<'_>) -> Option<Field> {
    let name = attr(element, "name")?;
    let (value, kind) = match element.value().name() {
        "textarea" => (Some(element.text().collect()), Kind::Text),
        "select" => {
            let options: Vec<String> = element
                .select(&select("option"))
                .filter_map(|option| attr(option, "value"))
                .collect();
            (options.first().cloned(), Kind::Select(options))
        }
        _ => {
            let value = attr(element, "value");
            match element.value().attr("type") {
                Some("hidden") => (value, Kind::Hidden),
                Some("radio") => (value, Kind::Radio),
                Some("checkbox") => (value.or(Some("on".to_owned())), Kind::Choice),
                Some("number") => (value, Kind::Number),
                _ if attr(element, "inputmode").is_some() => (value, Kind::Number),
                _ => (value, Kind::Text),
            }
        }
    };
    Some(Field { name, value, kind })
}

fn form(element: ElementRef<'_>) -> Form {
    let button = select("button");
    let buttons = element.select(&button);
    // What stands behind the number sign is not sent.
    let sent = |address: String| address.split('#').next().unwrap_or_default().to_owned();
    Form {
        action: sent(attr(element, "action").unwrap_or_default()),
        posts: attr(element, "method").is_some_and(|method| method == "post"),
        fields: element
            .select(&select("input, textarea, select"))
            .filter_map(field)
            .collect(),
        buttons: buttons
            .map(|button| {
                let of = |name| attr(button, name).unwrap_or_default();
                (of("name"), of("value"), sent(of("formaction")))
            })
            .collect(),
    }
}

/// All ways on from a page, in their order.
pub fn ways(text: &str) -> Vec<Way> {
    let html = Html::parse_document(text);
    let links = html
        .select(&select("main a[href]"))
        .filter_map(|link| attr(link, "href"))
        .filter(|to| to.starts_with('/'))
        .map(Way::Link)
        .collect::<Vec<_>>();
    let form_of_the_page = select("main form");
    let forms = html
        .select(&form_of_the_page)
        .map(|found| Way::Form(form(found)));
    links.into_iter().chain(forms).collect()
}

impl Form {
    /// One of the radio buttons of a name, where none was pressed yet.
    fn one_of(
        &self,
        name: &str,
        pressed: &[(String, String)],
        chance: &mut Chance,
    ) -> Option<String> {
        if pressed.iter().any(|(other, _)| other == name) {
            return None;
        }
        let group = self.fields.iter().filter(|field| field.name == name);
        let values: Vec<&String> = group.filter_map(|field| field.value.as_ref()).collect();
        match values.is_empty() {
            true => None,
            false => Some((*chance.one(&values)).clone()),
        }
    }

    /// Where it goes and what it sends, filled by chance; two forms of one shape are filled alike by the same chance.
    pub fn filled(&self, chance: &mut Chance, words: &[String]) -> (String, Vec<(String, String)>) {
        let mut pairs = Vec::new();
        for field in &self.fields {
            let typed = match &field.kind {
                Kind::Hidden => field.value.clone(),
                Kind::Radio => self.one_of(&field.name, &pairs, chance),
                Kind::Choice => chance.percent(60).then(|| field.value.clone()).flatten(),
                Kind::Select(options) if options.is_empty() => None,
                Kind::Select(options) => Some(chance.one(options).clone()),
                Kind::Number if chance.percent(85) => Some(chance.between(0, 5).to_string()),
                Kind::Text if chance.percent(50) => field.value.clone(),
                Kind::Number | Kind::Text => Some(chance.one(words).clone()),
            };
            pairs.extend(typed.map(|value| (field.name.clone(), value)));
        }
        let mut action = self.action.clone();
        if !self.buttons.is_empty() {
            let (name, value, elsewhere) = chance.one(&self.buttons);
            if !name.is_empty() {
                pairs.push((name.clone(), value.clone()));
            }
            if !elsewhere.is_empty() {
                action.clone_from(elsewhere);
            }
        }
        (action, pairs)
    }
}
