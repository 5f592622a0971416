//! Floor 0: pure mathematics: roots, elliptic integrals, quantiles, covariance,
//! least squares. It knows no unit and nothing of football or surveying.

mod covariance;
#[cfg(feature = "survey")]
mod descent;
#[cfg(feature = "survey")]
mod draws;
mod elliptic;
#[cfg(feature = "survey")]
mod kalman;
#[cfg(test)]
mod nist;
mod order;
#[cfg(feature = "survey")]
mod quantile;
#[cfg(test)]
mod quantile_tables;
mod root;

pub use covariance::Covariance;
pub(crate) use covariance::{mean_square, principal_axes};
#[cfg(feature = "survey")]
pub(crate) use descent::{End, Problem, Schedule, Step, descend};
#[cfg(feature = "survey")]
pub(crate) use draws::Draws;
pub(crate) use elliptic::{complete_e, incomplete_e};
#[cfg(feature = "survey")]
pub(crate) use kalman::{Memory, Sight, Whitened, whiten};
pub(crate) use order::{sort_by, sort_by_key};
#[cfg(feature = "survey")]
pub(crate) use quantile::{chi2_quantile, f_quantile, normal_quantile, t_cdf, t_quantile, tau_quantile};
pub(crate) use root::find_root;
