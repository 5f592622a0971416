//! Floor 0: numbers that mean nothing yet: roots, elliptic integrals,
//! quantiles, covariance. No word of the trade, no unit.

mod covariance;
mod elliptic;
mod kalman;
mod quantile;
mod root;

pub use covariance::{Covariance, mean_square, principal_axes};
pub use elliptic::{complete_e, complete_k, incomplete_e, incomplete_f};
pub use kalman::{Memory, Sight, Whitened, whiten};
pub use quantile::{chi2_quantile, f_quantile, normal_quantile, t_cdf, t_quantile, tau_quantile};
pub use root::{NoRoot, find_root};
