//! Hulls made with their families.

use keelstead_boat::family::{Family, FitError, Fitted, Measures, fit};
use keelstead_boat::hull::PartKind;
use keelstead_boat::loft::lines::Lines;
use keelstead_boat::loft::shell::Shell;

use super::{Part, part};

/// Why a boat could not be lofted.
#[derive(Debug, thiserror::Error)]
pub enum LoftError {
    /// Her measures are not there.
    #[error("hulls/{boat}.measures.json is not among the files of the demo")]
    Missing {
        /// The boat.
        boat: &'static str,
    },
    /// Her measures do not read.
    #[error("hulls/{boat}.measures.json is no measures document: {source}")]
    Unreadable {
        /// The boat.
        boat: &'static str,
        /// What serde_json said.
        source: serde_json::Error,
    },
    /// No surface of her family has her measures.
    #[error("hulls/{boat}.measures.json makes no hull: {source}")]
    NoHull {
        /// The boat.
        boat: &'static str,
        /// What the fit said.
        source: FitError,
    },
}

/// A measures document, as far as a fit needs it.
#[derive(serde::Deserialize)]
struct Document {
    family: Family,
    measures: Measures,
}

/// A boat's sides and what hangs below them.
pub struct Moulded {
    /// Lines of the sides, hull frame.
    pub lines: Lines,
    /// What hangs below, by the names that families give: keel or skeg, board, rudder, drive.
    pub hung: Vec<Part>,
}

impl Moulded {
    /// Fits her family to a boat's measures.
    ///
    /// # Errors
    /// [`LoftError`] if they are missing, or make no hull.
    pub fn of(boat: &'static str) -> Result<Self, LoftError> {
        let text = crate::file(&format!("hulls/{boat}.measures.json"))
            .ok_or(LoftError::Missing { boat })?;
        let document: Document = serde_json::from_slice(text)
            .map_err(|source| LoftError::Unreadable { boat, source })?;
        let Fitted { lines, parts, .. } = fit(document.family, &document.measures)
            .map_err(|source| LoftError::NoHull { boat, source })?;
        // The body is made anew, with her wells in its deck.
        let hung = parts.iter().filter(|p| p.kind != PartKind::Body);
        Ok(Self {
            lines,
            hung: hung
                .map(|p| part(&p.name, Shell::from(p.mesh.as_ref())))
                .collect(),
        })
    }
}
