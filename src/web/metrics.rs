//! What this process counts while it serves, for whoever watches it: no label holds a path, a name or an id.

use std::sync::LazyLock;
use std::time::Duration;

use axum::http::{Method, StatusCode};
use prometheus_client::encoding::EncodeLabelSet;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::{Registry, Unit};

/// Upper ends of the steps in which answers are counted by how long they took, in seconds.
const STEPS: [f64; 11] = [
    0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0,
];

/// What requests are counted by.
#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Asked {
    /// The pattern of the path, with `{name}` where a value stands.
    route: &'static str,
    method: &'static str,
    /// The class of the status.
    status: &'static str,
}

/// The counts of a process.
#[derive(Debug)]
pub struct Counts {
    requests: Family<Asked, Counter>,
    took: Histogram,
    connections: Gauge,
    accepted: Counter,
    throttled: Counter,
    /// Forms and programs' requests that came once more and did nothing the second time.
    pub repeated: Counter,
}

static COUNTS: LazyLock<Counts> = LazyLock::new(|| Counts {
    requests: Family::default(),
    took: Histogram::new(STEPS),
    connections: Gauge::default(),
    accepted: Counter::default(),
    throttled: Counter::default(),
    repeated: Counter::default(),
});

/// The counts of this process.
pub fn counts() -> &'static Counts {
    &COUNTS
}

/// A connection that is counted as open until this is dropped.
#[derive(Debug)]
pub struct Connection(());

impl Drop for Connection {
    fn drop(&mut self) {
        COUNTS.connections.dec();
    }
}

impl Counts {
    /// Counts a connection.
    pub fn connection(&self) -> Connection {
        self.accepted.inc();
        self.connections.inc();
        Connection(())
    }

    /// Counts an answer. `route` is the pattern of its path, never the path.
    pub fn answered(
        &self,
        method: &Method,
        route: &'static str,
        status: StatusCode,
        took: Duration,
    ) {
        let asked = Asked {
            route,
            method: word_of(method),
            status: class_of(status),
        };
        self.requests.get_or_create(&asked).inc();
        self.took.observe(took.as_secs_f64());
        if status == StatusCode::TOO_MANY_REQUESTS {
            self.throttled.inc();
        }
    }

    /// Puts the counts into what is told.
    pub fn tell(&self, registry: &mut Registry) {
        registry.register(
            "http_requests",
            "Requests answered, by the pattern of their path, method and class of status",
            self.requests.clone(),
        );
        registry.register_with_unit(
            "http_request_duration",
            "How long answers took",
            Unit::Seconds,
            self.took.clone(),
        );
        registry.register(
            "http_connections_open",
            "Connections that are open",
            self.connections.clone(),
        );
        registry.register(
            "http_connections",
            "Connections that came",
            self.accepted.clone(),
        );
        registry.register(
            "throttled_requests",
            "Requests told to come again later, since there were too many",
            self.throttled.clone(),
        );
        registry.register(
            "repeated_forms",
            "Forms that came once more and did nothing the second time",
            self.repeated.clone(),
        );
    }
}

/// One of few words, whatever somebody calls a method.
fn word_of(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::PUT => "PUT",
        Method::DELETE => "DELETE",
        _ => "other",
    }
}

fn class_of(status: StatusCode) -> &'static str {
    match status.as_u16() / 100 {
        2 => "2xx",
        3 => "3xx",
        4 => "4xx",
        5 => "5xx",
        _ => "other",
    }
}
