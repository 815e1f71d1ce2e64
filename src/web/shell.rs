//! What surrounds every page: masthead, ways on, messages, footer. Plain values only; the pages fill it.

/// The place of the masthead that the page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nav {
    /// A page that belongs to none of the places below.
    Elsewhere,
    Recipes,
    Batches,
    Cupboard,
    Club,
    Calculations,
    Keeper,
    Settings,
}

/// The member's own choice of light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// Whatever the device says.
    #[default]
    Device,
    Light,
    Dark,
}

impl Theme {
    /// The word in `data-theme`, in the cookie and in the settings form.
    pub fn as_str(self) -> &'static str {
        match self {
            Theme::Device => "device",
            Theme::Light => "light",
            Theme::Dark => "dark",
        }
    }

    /// Reads the word back; anything unknown is the device's choice.
    pub fn from_word(word: &str) -> Self {
        match word {
            "light" => Theme::Light,
            "dark" => Theme::Dark,
            _ => Theme::Device,
        }
    }

    /// What the browser may paint before the stylesheet has arrived.
    fn color_scheme(self) -> &'static str {
        match self {
            Theme::Device => "light dark",
            Theme::Light => "light",
            Theme::Dark => "dark",
        }
    }
}

/// Whether a message says that something was done, or that something stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlashKind {
    Done,
    Trouble,
}

/// One message, shown once, above the heading of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flash {
    pub kind: FlashKind,
    pub text: String,
    /// A way on: its address and its words ("Put it back").
    pub link: Option<(String, String)>,
}

/// The member as the masthead names them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShellMember {
    pub name: String,
}

/// One entry of the masthead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NavItem {
    pub label: &'static str,
    pub url: String,
    pub current: bool,
}

/// Addresses that the shell itself links to, all below the base path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShellLinks {
    pub home: String,
    pub recipes: String,
    /// What members have going.
    pub batches: String,
    /// The member's own stock.
    pub cupboard: String,
    /// What the members share.
    pub club: String,
    /// What only a keeper finds there.
    pub keeper: String,
    pub catalogue: String,
    /// Single calculations, for everybody.
    pub calculations: String,
    pub settings: String,
    pub sign_in: String,
    pub sign_out: String,
    /// What can hurt, and what to do: every page leads there.
    pub safety: String,
    /// How the numbers are reckoned.
    pub methods: String,
}

/// Everything that `templates/shell.html` prints around a page.
#[derive(Debug, Clone)]
pub struct Shell {
    pub club_name: String,
    /// Path below which the club is served: empty, or `/club` without a closing slash.
    pub base: String,
    pub member: Option<ShellMember>,
    pub theme: Theme,
    pub current: Nav,
    pub flash: Option<Flash>,
    /// Whoever judges is told on every page why nothing of others is there.
    pub book_closed: bool,
    /// The keeper is told on every page while passwords travel over plain http.
    pub plain_http_warning: bool,
    pub css_url: String,
    pub js_url: String,
    pub icon_url: String,
    pub links: ShellLinks,
    /// Places shown in the masthead, in this order.
    pub places: Vec<Nav>,
}

impl Shell {
    /// A stranger's shell: no member, the device's own theme, assets under their plain names.
    ///
    /// `base` is the path below which the club is served; a closing slash is dropped.
    pub fn new(club_name: impl Into<String>, base: &str) -> Self {
        let base = base.trim_end_matches('/').to_owned();
        let at = |path: &str| format!("{base}{path}");
        Shell {
            club_name: club_name.into(),
            member: None,
            theme: Theme::Device,
            current: Nav::Elsewhere,
            flash: None,
            book_closed: false,
            plain_http_warning: false,
            css_url: at("/static/app.css"),
            js_url: at("/static/live.js"),
            icon_url: at("/static/icons.svg"),
            links: ShellLinks {
                home: at("/"),
                recipes: at("/recipes"),
                batches: at("/batches"),
                cupboard: at("/cupboard"),
                club: at("/club"),
                keeper: at("/keeper"),
                catalogue: at("/catalogue"),
                calculations: at("/calculations"),
                settings: at("/settings"),
                sign_in: at("/sign-in"),
                sign_out: at("/sign-out"),
                safety: at("/safety"),
                methods: at("/methods"),
            },
            places: vec![Nav::Calculations],
            base,
        }
    }

    /// The same shell for a signed-in member.
    pub fn for_member(mut self, name: impl Into<String>) -> Self {
        self.member = Some(ShellMember { name: name.into() });
        self.places = vec![
            Nav::Recipes,
            Nav::Batches,
            Nav::Cupboard,
            Nav::Club,
            Nav::Calculations,
        ];
        self
    }

    /// Addresses of the stylesheet, the script and the icon, as the asset store names them.
    pub fn with_assets(mut self, css: String, js: String, icon: String) -> Self {
        self.css_url = css;
        self.js_url = js;
        self.icon_url = icon;
        self
    }

    /// Marks the place that the page belongs to.
    pub fn at_place(mut self, place: Nav) -> Self {
        self.current = place;
        self
    }

    /// The member's own choice of light or dark.
    pub fn in_theme(mut self, theme: Theme) -> Self {
        self.theme = theme;
        self
    }

    /// Says above the heading that something was done; no words say nothing.
    pub fn saying(mut self, text: impl Into<String>) -> Self {
        let text = text.into();
        if !text.is_empty() {
            self.flash = Some(Flash {
                kind: FlashKind::Done,
                text,
                link: None,
            });
        }
        self
    }

    /// Says above the heading that something stands in the way.
    pub fn warning(mut self, text: impl Into<String>) -> Self {
        self.flash = Some(Flash {
            kind: FlashKind::Trouble,
            text: text.into(),
            link: None,
        });
        self
    }

    /// An address of this club: `path` starts with a slash.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    /// What the masthead lists.
    pub fn nav_items(&self) -> Vec<NavItem> {
        self.places
            .iter()
            .filter_map(|place| {
                let (label, url) = match place {
                    Nav::Recipes => ("Recipes", &self.links.recipes),
                    Nav::Batches => ("Batches", &self.links.batches),
                    Nav::Cupboard => ("Cupboard", &self.links.cupboard),
                    Nav::Club => ("Club", &self.links.club),
                    Nav::Calculations => ("Calculations", &self.links.calculations),
                    Nav::Keeper => ("Keeper", &self.links.keeper),
                    Nav::Settings => ("Settings", &self.links.settings),
                    Nav::Elsewhere => return None,
                };
                Some(NavItem {
                    label,
                    url: url.clone(),
                    current: *place == self.current,
                })
            })
            .collect()
    }

    /// What the browser may paint before the stylesheet has arrived.
    pub fn color_scheme(&self) -> &'static str {
        self.theme.color_scheme()
    }

    /// Whether the page is one of the member's own settings.
    pub fn in_settings(&self) -> bool {
        self.current == Nav::Settings
    }
}

impl Flash {
    /// The live-region role: what went wrong interrupts, what was done waits.
    pub fn role(&self) -> &'static str {
        match self.kind {
            FlashKind::Done => "status",
            FlashKind::Trouble => "alert",
        }
    }

    /// The class that styles the message.
    pub fn class(&self) -> &'static str {
        match self.kind {
            FlashKind::Done => "flash done",
            FlashKind::Trouble => "flash trouble",
        }
    }
}
