//! role
/// x
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SeamRole {
    /// x
    Waist,
    /// x
    Crotch,
    /// x
    Inseam,
    /// x
    Hem,
    /// x
    Outseam,
}
impl SeamRole { 
    /// x
    pub fn as_str(self) -> &'static str { match self { SeamRole::Waist=>"waist", SeamRole::Crotch=>"crotch", SeamRole::Inseam=>"inseam", SeamRole::Hem=>"hem", SeamRole::Outseam=>"outseam" } } }
