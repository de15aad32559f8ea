//! What is heavy of a task or of what came of it travels beside it, in runs that are packed and unpacked in slices of a
//! frame: the meshes of its hull, the bytes of its files.

use std::sync::Arc;

use js_sys::{Array, Uint8Array};
use keelstead_boat::hull::Hull;
use keelstead_files::kept::{KeptFile, Place};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::{Mesh, MeshArrival, MeshHead};
use wasm_bindgen::{JsCast, JsValue};

/// Bytes of a file copied before looking at the clock again.
const CHUNK: usize = 1 << 20;

/// Takes the meshes out of a hull and leaves a triangle in the place of each.
pub fn take_meshes(hull: Option<&mut Hull>) -> Result<Vec<Arc<Mesh>>, JsValue> {
    let corners = vec![Vec3::ZERO, Vec3::X, Vec3::Y];
    let left = Mesh::new(corners, vec![[0, 1, 2]]).map_err(|error| error.to_string())?;
    let left = Arc::new(left);
    let parts = hull.into_iter().flat_map(|hull| &mut hull.parts);
    Ok(parts
        .map(|part| std::mem::replace(&mut part.mesh, left.clone()))
        .collect())
}

/// Puts the meshes back into their hull; false if they are not as many as it has parts.
pub fn give_meshes(hull: Option<&mut Hull>, meshes: Vec<Arc<Mesh>>) -> bool {
    let parts = hull.map_or(&mut [][..], |hull| &mut hull.parts);
    let as_many = parts.len() == meshes.len();
    for (part, mesh) in parts.iter_mut().zip(meshes) {
        part.mesh = mesh;
    }
    as_many
}

/// The bytes of a file, if it lies in memory.
fn bytes_of(file: &mut KeptFile) -> Option<&mut Arc<[u8]>> {
    match &mut file.place {
        Place::Memory(bytes) | Place::Made(bytes) => Some(bytes),
        Place::Disk(_) => None,
    }
}

/// Files and meshes being packed: of each mesh a list of its head and its runs.
pub struct Packing {
    waiting: Vec<Arc<Mesh>>,
    /// Files under way, and how much of each is there.
    files: Vec<(Arc<[u8]>, Uint8Array, usize)>,
    /// The list of the mesh under way.
    now: Option<Array>,
    /// What was packed.
    pub packed: Array,
    /// Buffers that go over without a copy.
    pub transfer: Array,
}

impl Packing {
    /// Begins.
    pub fn new(mut meshes: Vec<Arc<Mesh>>) -> Self {
        meshes.reverse();
        Self {
            waiting: meshes,
            files: Vec::new(),
            now: None,
            packed: Array::new(),
            transfer: Array::new(),
        }
    }

    /// Bytes that go over without a copy, once they are here.
    pub fn array(&self, bytes: &[u8]) -> Uint8Array {
        let array = Uint8Array::from(bytes);
        self.transfer.push(&array.buffer());
        array
    }

    /// The bytes of a file that go over without a copy, once all of it is packed.
    pub fn file(&mut self, bytes: Arc<[u8]>) -> Uint8Array {
        let array = Uint8Array::new_with_length(bytes.len() as u32);
        self.transfer.push(&array.buffer());
        self.files.push((bytes, array.clone(), 0));
        array
    }

    /// Packs the next run; false if there is none left.
    pub fn step(&mut self) -> Result<bool, JsValue> {
        if let Some((bytes, array, packed)) = self.files.last_mut() {
            let to = bytes.len().min(*packed + CHUNK);
            let stretch = array.subarray(*packed as u32, to as u32);
            stretch.copy_from(&bytes[*packed..to]);
            *packed = to;
            if to == bytes.len() {
                self.files.pop();
            }
            return Ok(true);
        }
        let Some(mesh) = self.waiting.last().cloned() else {
            return Ok(false);
        };
        let Some(list) = &self.now else {
            let head = rmp_serde::to_vec_named(&mesh.head()).map_err(|error| error.to_string())?;
            self.now = Some(Array::of1(&self.array(&head)));
            return Ok(true);
        };
        match mesh.run(list.length() as usize - 1) {
            Some(run) => {
                list.push(&self.array(&run));
            }
            None => {
                self.packed.push(list);
                self.now = None;
                self.waiting.pop();
            }
        }
        Ok(true)
    }
}

/// Packed meshes on their way back.
pub struct Unpacking {
    packed: Array,
    arriving: Option<MeshArrival>,
    /// The run after the head that comes next.
    next: u32,
    run: Vec<u8>,
    meshes: Vec<Arc<Mesh>>,
}

impl Unpacking {
    /// Begins.
    pub fn new(packed: Array) -> Self {
        Self {
            packed,
            arriving: None,
            next: 0,
            run: Vec::new(),
            meshes: Vec::new(),
        }
    }

    /// Unpacks the next run; false if there is none left.
    ///
    /// # Errors
    /// What did not arrive whole, in words.
    pub fn step(&mut self) -> Result<bool, String> {
        let at = self.meshes.len() as u32;
        if at >= self.packed.length() {
            return Ok(false);
        }
        let list: Array = self.packed.get(at).into();
        let array = |i: u32| Uint8Array::from(list.get(i));
        let Some(arriving) = &mut self.arriving else {
            let head = array(0).to_vec();
            let head: MeshHead = rmp_serde::from_slice(&head).map_err(|error| error.to_string())?;
            self.arriving = Some(MeshArrival::new(head));
            self.next = 1;
            return Ok(true);
        };
        if self.next < list.length() {
            let run = array(self.next);
            self.run.resize(run.length() as usize, 0);
            run.copy_to(&mut self.run);
            arriving.take(&self.run);
            self.next += 1;
            return Ok(true);
        }
        let mesh = self.arriving.take().and_then(MeshArrival::finish);
        let mesh = mesh.ok_or("a mesh that does not fit together")?;
        self.meshes.push(Arc::new(mesh));
        Ok(true)
    }

    /// The meshes.
    pub fn finish(self) -> Vec<Arc<Mesh>> {
        self.meshes
    }
}

/// Takes the bytes out of files. What was `given` with the task is told by its number: whoever gave it has it.
pub fn take_files(files: Vec<&mut KeptFile>, given: &[Arc<[u8]>], packing: &mut Packing) -> Array {
    let taken = files.into_iter().filter_map(bytes_of).map(|bytes| {
        let bytes = std::mem::replace(bytes, Arc::from([]));
        match given.iter().position(|one| Arc::ptr_eq(one, &bytes)) {
            Some(number) => JsValue::from(number as u32),
            None => packing.file(bytes).into(),
        }
    });
    taken.collect()
}

/// The bytes of files on their way back.
pub struct FilesUnpacking {
    packed: Array,
    /// The one under way, and how much of it is here.
    now: Option<(Arc<[u8]>, usize)>,
    files: Vec<Arc<[u8]>>,
}

impl FilesUnpacking {
    /// Begins.
    pub fn new(packed: Array) -> Self {
        Self {
            packed,
            now: None,
            files: Vec::new(),
        }
    }

    /// Copies the next stretch; false if there is none left. `given` is what the task was given.
    pub fn step(&mut self, given: &[Arc<[u8]>]) -> bool {
        let at = self.files.len() as u32;
        if at >= self.packed.length() {
            return false;
        }
        let packed = self.packed.get(at);
        if let Some(number) = packed.as_f64() {
            let bytes = given.get(number as usize).cloned();
            self.files.push(bytes.unwrap_or_else(|| Arc::from([])));
            return true;
        }
        let array: Uint8Array = packed.unchecked_into();
        let length = array.length() as usize;
        let Some((bytes, here)) = &mut self.now else {
            self.now = Some((std::iter::repeat_n(0, length).collect(), 0));
            return true;
        };
        let to = length.min(*here + CHUNK);
        if let Some(bytes) = Arc::get_mut(bytes) {
            let stretch = array.subarray(*here as u32, to as u32);
            stretch.copy_to(&mut bytes[*here..to]);
        }
        *here = to;
        if to == length {
            self.files.extend(self.now.take().map(|(bytes, _)| bytes));
        }
        true
    }

    /// Puts the bytes back into their files.
    pub fn give(self, files: Vec<&mut KeptFile>) {
        let places = files.into_iter().filter_map(bytes_of);
        for (place, bytes) in places.zip(self.files) {
            *place = bytes;
        }
    }
}
