//! Files handed over by a person: dropped or chosen, with their bytes.

use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

/// A file handed over: its name, and what it holds.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Given {
    /// Its name; without folders where a page hands it over.
    pub name: String,
    /// What it holds.
    #[serde(with = "bytes")]
    pub bytes: Arc<[u8]>,
}

impl Given {
    /// A file of this name and content.
    pub fn new(name: impl Into<String>, bytes: impl Into<Arc<[u8]>>) -> Self {
        Self {
            name: name.into(),
            bytes: bytes.into(),
        }
    }
}

impl fmt::Debug for Given {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({} bytes)", self.name, self.bytes.len())
    }
}

/// Shared bytes written and read as one run of bytes, not number by number.
pub(crate) mod bytes {
    use std::fmt;
    use std::sync::Arc;

    use serde::de::{Error, SeqAccess, Visitor};
    use serde::{Deserializer, Serializer};

    pub(crate) fn serialize<S: Serializer>(bytes: &Arc<[u8]>, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_bytes(bytes)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Arc<[u8]>, D::Error> {
        from.deserialize_bytes(Bytes)
    }

    struct Bytes;

    impl<'de> Visitor<'de> for Bytes {
        type Value = Arc<[u8]>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("bytes")
        }

        fn visit_bytes<E: Error>(self, bytes: &[u8]) -> Result<Self::Value, E> {
            Ok(bytes.into())
        }

        // A codec without bytes of its own, as JSON, writes numbers.
        fn visit_seq<A: SeqAccess<'de>>(self, mut numbers: A) -> Result<Self::Value, A::Error> {
            let mut bytes = Vec::new();
            while let Some(byte) = numbers.next_element()? {
                bytes.push(byte);
            }
            Ok(bytes.into())
        }
    }
}
