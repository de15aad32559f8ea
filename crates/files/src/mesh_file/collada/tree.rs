//! The document as a tree without recursion, so that no depth of it does harm.

use std::collections::HashMap;

use keelstead_units::quantity::Sentence;
use quick_xml::events::Event;

use super::DAMAGED;
use crate::error::FileError;
use crate::mesh_file::xml::Xml;
use crate::progress::{Progress, step};

struct Element {
    name: String,
    attributes: Vec<(String, String)>,
    text: String,
    children: Vec<u32>,
    at: usize,
}

/// A document.
pub(super) struct Tree<'a> {
    elements: Vec<Element>,
    text: &'a str,
    file: &'a str,
}

/// An element of a document.
#[derive(Clone, Copy)]
pub(super) struct Node<'t> {
    tree: &'t Tree<'t>,
    index: usize,
}

impl<'a> Tree<'a> {
    pub(super) fn read(
        text: &'a str,
        file: &'a str,
        progress: &dyn Progress,
    ) -> Result<Self, FileError> {
        let mut xml = Xml::new(text, file, "");
        let mut elements: Vec<Element> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        let mut read = 0_usize;
        loop {
            read += 1;
            if read.is_multiple_of(1 << 14) {
                step(progress, 0.2 * xml.at() as f64 / text.len() as f64, "scene")?;
            }
            match xml.next()? {
                Event::Start(tag) => {
                    let index = elements.len();
                    match open.last() {
                        Some(&parent) => elements[parent].children.push(index as u32),
                        None if index > 0 => {
                            return Err(xml.fault("a second root", "one document", DAMAGED));
                        }
                        None => {}
                    }
                    let mut attributes = tag.attributes();
                    attributes.with_checks(false);
                    let attributes = attributes.filter_map(|attribute| {
                        let attribute = attribute.ok()?;
                        let value = attribute.normalized_value(quick_xml::XmlVersion::Implicit1_0);
                        let key = attribute.key.local_name().as_ref().to_owned();
                        Some((key, value.ok()?.into_owned()))
                    });
                    elements.push(Element {
                        name: tag.local_name().as_ref().to_owned(),
                        attributes: attributes.collect(),
                        text: String::new(),
                        children: Vec::new(),
                        at: xml.at(),
                    });
                    open.push(index);
                }
                Event::End(_) => {
                    open.pop();
                }
                Event::Text(piece) => {
                    if let Some(&element) = open.last() {
                        let piece = piece.into_inner();
                        // What stands between elements is but white space.
                        if !piece.trim_ascii().is_empty() {
                            elements[element].text.push_str(&piece);
                        }
                    }
                }
                Event::Eof => break,
                _ => {}
            }
        }
        if elements.is_empty() || !open.is_empty() {
            return Err(xml.fault(
                "the document ends early",
                "</COLLADA>",
                "The file is cut short: copy or export it again",
            ));
        }
        Ok(Self {
            elements,
            text,
            file,
        })
    }

    pub(super) fn root(&self) -> Node<'_> {
        Node {
            tree: self,
            index: 0,
        }
    }

    /// Every element that has an id; the first of each.
    pub(super) fn ids(&self) -> HashMap<&str, Node<'_>> {
        let mut ids = HashMap::new();
        for index in 0..self.elements.len() {
            let node = Node { tree: self, index };
            if let Some(id) = node.get("id") {
                ids.entry(id).or_insert(node);
            }
        }
        ids
    }
}

impl<'t> Node<'t> {
    fn element(&self) -> &'t Element {
        &self.tree.elements[self.index]
    }

    /// Where it stands in the document.
    pub(super) fn index(&self) -> usize {
        self.index
    }

    pub(super) fn name(&self) -> &'t str {
        &self.element().name
    }

    pub(super) fn is(&self, name: &str) -> bool {
        self.name() == name
    }

    pub(super) fn get(&self, attribute: &str) -> Option<&'t str> {
        let mut attributes = self.element().attributes.iter();
        attributes
            .find(|(name, _)| name == attribute)
            .map(|(_, value)| value.as_str())
    }

    pub(super) fn text(&self) -> &'t str {
        &self.element().text
    }

    pub(super) fn children(&self) -> impl Iterator<Item = Node<'t>> + use<'t> {
        let tree = self.tree;
        self.element().children.iter().map(move |&index| Node {
            tree,
            index: index as usize,
        })
    }

    pub(super) fn child(&self, name: &str) -> Option<Node<'t>> {
        self.children().find(|child| child.is(name))
    }

    /// The numbers it holds.
    pub(super) fn numbers(&self) -> Result<Vec<f64>, FileError> {
        self.all(|word| word.parse::<f64>().ok().filter(|n| n.is_finite()))
    }

    /// The whole numbers it holds.
    pub(super) fn indices(&self) -> Result<Vec<usize>, FileError> {
        self.all(|word| word.parse().ok())
    }

    fn all<T>(&self, read: impl Fn(&str) -> Option<T>) -> Result<Vec<T>, FileError> {
        self.text()
            .split_ascii_whitespace()
            .map(|word| {
                read(word).ok_or_else(|| {
                    let shown: String = word.chars().take(40).collect();
                    let found = format!("\"{shown}\" in <{}>", self.name());
                    self.fault(found, "a number", DAMAGED)
                })
            })
            .collect()
    }

    pub(super) fn fault(
        &self,
        found: impl Into<Sentence>,
        expected: &str,
        advice: &str,
    ) -> FileError {
        Xml::new(self.tree.text, self.tree.file, "").fault_at(
            self.element().at,
            found,
            expected,
            advice,
        )
    }
}
