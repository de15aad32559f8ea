//! XML through the kept crate `quick-xml`, with the line in each error.

use std::borrow::Cow;

use keelstead_units::quantity::Sentence;
use quick_xml::Reader;
use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};

use crate::error::{FileError, Spot};

/// A document read tag by tag.
pub(super) struct Xml<'a> {
    reader: Reader<&'a [u8]>,
    text: &'a str,
    file: &'a str,
    /// The document's name inside an archive; empty for a file of its own.
    member: &'a str,
}

impl<'a> Xml<'a> {
    pub(super) fn new(text: &'a str, file: &'a str, member: &'a str) -> Self {
        let mut reader = Reader::from_str(text);
        reader.config_mut().expand_empty_elements = true;
        Self {
            reader,
            text,
            file,
            member,
        }
    }

    /// The next tag or text; `Eof` at the end.
    pub(super) fn next(&mut self) -> Result<Event<'a>, FileError> {
        self.reader.read_event().map_err(|error| {
            let at = self.reader.error_position() as usize;
            self.fault_at(
                at,
                error.to_string(),
                "well-formed XML",
                "The file is cut short or damaged: copy or export it again",
            )
        })
    }

    /// How far it has come, in bytes.
    pub(super) fn at(&self) -> usize {
        self.reader.buffer_position() as usize
    }

    pub(super) fn fault_at(
        &self,
        at: usize,
        found: impl Into<Sentence>,
        expected: &str,
        advice: &str,
    ) -> FileError {
        let before = self.text.as_bytes();
        let before = &before[..at.min(before.len())];
        let line = 1 + before.iter().filter(|&&byte| byte == b'\n').count();
        let spot = if self.member.is_empty() {
            Spot::Line(line)
        } else {
            Spot::Named(format!("{}, line {line}", self.member))
        };
        FileError::fault(self.file, spot, found, expected, advice)
    }

    /// A fault at the tag just read.
    pub(super) fn fault(
        &self,
        found: impl Into<Sentence>,
        expected: &str,
        advice: &str,
    ) -> FileError {
        self.fault_at(self.at(), found, expected, advice)
    }
}

/// The value of a tag's attribute; `name` without its prefix.
pub(super) fn attribute<'t>(tag: &'t BytesStart<'_>, name: &str) -> Option<Cow<'t, str>> {
    let mut attributes = tag.attributes();
    attributes.with_checks(false);
    let found = attributes
        .filter_map(Result::ok)
        .find(|attribute| attribute.key.local_name().as_ref() == name)?;
    found.normalized_value(XmlVersion::Implicit1_0).ok()
}
