//! size name
use std::cmp::Ordering;
/// x
#[derive(Clone, Debug)]
pub struct SizeName(String);
impl SizeName {
    /// x
    pub fn new(s: impl Into<String>) -> Self { SizeName(s.into()) }
    /// x
    pub fn as_str(&self) -> &str { &self.0 }
    fn key(&self) -> String { self.0.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect() }
}
impl PartialEq for SizeName { fn eq(&self, o:&Self)->bool { self.key()==o.key() } }
impl Eq for SizeName {}
impl PartialOrd for SizeName { fn partial_cmp(&self,o:&Self)->Option<Ordering>{Some(self.cmp(o))} }
impl Ord for SizeName { fn cmp(&self,o:&Self)->Ordering { self.key().cmp(&o.key()) } }
impl std::hash::Hash for SizeName { fn hash<H: std::hash::Hasher>(&self,h:&mut H){ self.key().hash(h) } }
impl std::fmt::Display for SizeName { fn fmt(&self,f:&mut std::fmt::Formatter<'_>)->std::fmt::Result{ f.write_str(&self.0) } }
