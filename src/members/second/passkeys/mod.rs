//! Passkeys (Web Authentication): keys that a device keeps and opens by a finger, a face or a number, good for one
//! address. The library of the standard does the checking; here is what it is told.

pub mod pages;
pub mod sign_in;
pub mod store;

use std::sync::Arc;

use chrono::{DateTime, Utc};
use serde::de::DeserializeOwned;
use serde_json::Value;
use sha2::{Digest, Sha256};
use webauthn_rs::prelude::{
    AuthenticationResult, CredentialID, DiscoverableAuthentication, Passkey, PasskeyRegistration,
    PublicKeyCredential, RegisterPublicKeyCredential, Url, Uuid, Webauthn, WebauthnBuilder,
    WebauthnError,
};

use crate::web::Error;
use crate::web::site::Site;
use crate::web::viewer::{Member, MemberId};

/// The most characters of a passkey's name.
pub const NAME_MAX: usize = 60;

/// A passkey as its member sees it.
#[derive(Clone, Debug)]
pub struct PasskeyEntry {
    pub public_id: String,
    pub name: String,
    /// The host for which it was made.
    pub host: String,
    pub made_at: DateTime<Utc>,
    pub used_at: Option<DateTime<Utc>>,
    pub credential_id: Vec<u8>,
}

/// A passkey with whose it is.
#[derive(Clone, Debug)]
pub struct Owned {
    pub passkey: i64,
    pub credential: Value,
    pub id: MemberId,
    pub public_id: String,
    pub name: String,
}

/// What a device is asked, as the page hands it over, and what the server keeps of it.
pub struct Asked {
    /// The options for the browser.
    pub options: Value,
    /// The state for the answer.
    pub state: Value,
}

/// Passkeys at the address of this club. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Passkeys {
    webauthn: Arc<Webauthn>,
    host: Arc<str>,
}

impl Passkeys {
    /// Those of a site; none where browsers know none: at a number in place of a name, or over plain http from
    /// another machine.
    pub fn of(site: &Site) -> Option<Passkeys> {
        let origin = Url::parse(site.origin()).ok()?;
        let host = origin.domain()?.to_owned();
        let is_local = host == "localhost" || host.ends_with(".localhost");
        if !site.is_https() && !is_local {
            return None;
        }
        let built = WebauthnBuilder::new(&host, &origin).ok()?;
        let webauthn = built.rp_name(&site.club_name()).build().ok()?;
        Some(Passkeys {
            webauthn: Arc::new(webauthn),
            host: host.into(),
        })
    }

    /// The host for which they are made.
    pub fn host(&self) -> &str {
        &self.host
    }

    /// Asks a device for a new passkey. It must be one that the device finds by itself, without a name being typed.
    pub fn ask_for_new(&self, member: &Member, known: Vec<CredentialID>) -> Result<Asked, Error> {
        let (asked, state) = self
            .webauthn
            .start_passkey_registration(
                handle_of(&member.public_id),
                &member.name,
                &member.name,
                Some(known),
            )
            .map_err(Error::unexpected)?;
        let mut options = serde_json::to_value(asked).map_err(Error::unexpected)?;
        let selection = &mut options["publicKey"]["authenticatorSelection"];
        selection["residentKey"] = "required".into();
        selection["requireResidentKey"] = true.into();
        Ok(Asked {
            options,
            state: serde_json::to_value(state).map_err(Error::unexpected)?,
        })
    }

    /// The passkey that a device answers with.
    pub fn read_new(&self, state: Value, answer: &str) -> Result<Passkey, Refused> {
        let state: PasskeyRegistration = from_value(state)?;
        let answer: RegisterPublicKeyCredential = from_text(answer)?;
        Ok(self.webauthn.finish_passkey_registration(&answer, &state)?)
    }

    /// Asks any device for a passkey of this club, whoever it belongs to.
    pub fn ask_for_any(&self) -> Result<Asked, Error> {
        let (asked, state) = self
            .webauthn
            .start_discoverable_authentication()
            .map_err(Error::unexpected)?;
        let mut options = serde_json::to_value(asked).map_err(Error::unexpected)?;
        // The dialog opens by a button, not inside a field.
        if let Some(options) = options.as_object_mut() {
            options.remove("mediation");
        }
        Ok(Asked {
            options,
            state: serde_json::to_value(state).map_err(Error::unexpected)?,
        })
    }

    /// The credential that a device answers with.
    pub fn read_answer(&self, answer: &str) -> Result<PublicKeyCredential, Refused> {
        from_text(answer)
    }

    /// Whether the answer is that of this passkey to this question; the passkey with its counter as it is now.
    pub fn check(
        &self,
        state: Value,
        answer: &PublicKeyCredential,
        owned: &Owned,
    ) -> Result<Value, Refused> {
        let state: DiscoverableAuthentication = from_value(state)?;
        let mut passkey: Passkey = from_value(owned.credential.clone())?;
        let (handle, _) = self.webauthn.identify_discoverable_authentication(answer)?;
        if handle != handle_of(&owned.public_id) {
            return Err(Refused::Other("the passkey names another member"));
        }
        let seen: AuthenticationResult = self
            .webauthn
            .finish_discoverable_authentication_v2(answer, state, &passkey)?;
        if !seen.user_verified() {
            return Err(Refused::Other("the device did not ask who holds it"));
        }
        passkey.update_credential(&seen);
        serde_json::to_value(passkey).map_err(|_| Refused::Other("the passkey cannot be written"))
    }
}

/// Why the answer of a device is not taken; for the log.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    #[error("the answer cannot be read: {0}")]
    Unreadable(#[from] serde_json::Error),
    #[error(transparent)]
    Standard(#[from] WebauthnError),
    #[error("{0}")]
    Other(&'static str),
}

fn from_value<T: DeserializeOwned>(value: Value) -> Result<T, Refused> {
    Ok(serde_json::from_value(value)?)
}

fn from_text<T: DeserializeOwned>(text: &str) -> Result<T, Refused> {
    Ok(serde_json::from_str(text)?)
}

/// The number under which a member's devices know them: always the same, and it tells nothing about them.
fn handle_of(public_id: &str) -> Uuid {
    let hash = Sha256::new_with_prefix(b"passkeys of ")
        .chain_update(public_id)
        .finalize();
    let mut bytes = [0u8; 16];
    bytes.copy_from_slice(&hash[..16]);
    Uuid::from_bytes(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_host_is_that_of_the_address_and_never_a_number() {
        for (url, host) in [
            ("https://mead.example", Some("mead.example")),
            ("https://mead.example:8443/club", Some("mead.example")),
            ("http://localhost:8420", Some("localhost")),
            ("http://mead.localhost", Some("mead.localhost")),
            ("http://mead.example", None),
            ("http://127.0.0.1:8420", None),
            ("https://192.0.2.7", None),
            ("https://[2001:db8::7]:8443", None),
        ] {
            let found = Passkeys::of(&Site::new("Club", url));
            assert_eq!(found.as_ref().map(Passkeys::host), host, "{url}");
        }
    }

    #[test]
    fn only_passkeys_that_are_found_without_a_name_are_asked_for() {
        let passkeys = Passkeys::of(&Site::new("Club", "https://mead.example")).unwrap();
        let options = passkeys.ask_for_any().unwrap().options;
        assert_eq!(
            options["publicKey"]["allowCredentials"],
            serde_json::json!([])
        );
        assert_eq!(options["publicKey"]["userVerification"], "required");
        assert_eq!(options["publicKey"]["rpId"], "mead.example");
        assert!(options.get("mediation").is_none());
    }
}
