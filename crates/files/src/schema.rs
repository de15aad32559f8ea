//! The published JSON Schemas of the documents.

use schemars::{Schema, schema_for};

use crate::hull_file::HullFile;
use crate::job::Job;
use crate::measures_file::MeasuresFile;
use crate::rig_file::RigFile;

/// Schema of a job document.
pub fn job() -> Schema {
    schema_for!(Job)
}

/// Schema of a rig document.
pub fn rig() -> Schema {
    schema_for!(RigFile)
}

/// Schema of a hull description.
pub fn hull() -> Schema {
    schema_for!(HullFile)
}

/// Schema of a measures document.
pub fn measures() -> Schema {
    schema_for!(MeasuresFile)
}

/// A schema as it is published: indented JSON with a newline at the end.
pub fn text(schema: &Schema) -> String {
    format!("{:#}\n", schema.as_value())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_schemas_are_those_of_the_types() {
        for (name, schema, published) in [
            ("job", job(), include_str!("../schema/job.json")),
            ("rig", rig(), include_str!("../schema/rig.json")),
            ("hull", hull(), include_str!("../schema/hull.json")),
            (
                "measures",
                measures(),
                include_str!("../schema/measures.json"),
            ),
        ] {
            assert!(
                text(&schema) == published,
                "schema/{name}.json is out of date: keelstead schema {name} > crates/files/schema/{name}.json"
            );
        }
    }
}
