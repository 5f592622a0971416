//! Floor 0: numbers that mean nothing yet: roots, elliptic integrals,
//! quantiles, covariance. No word of the trade, no unit.

mod covariance;
#[cfg(feature = "survey")]
mod draws;
mod effective;
mod elliptic;
mod kalman;
mod least_squares;
mod order;
#[cfg(feature = "survey")]
mod quantile;
mod robust;
mod root;

pub use covariance::{Covariance, mean_square, principal_axes};
#[cfg(feature = "survey")]
pub(crate) use draws::Draws;
pub use effective::{effective_number, effective_of_neighbours};
pub use elliptic::{complete_e, complete_k, incomplete_e, incomplete_f};
pub use kalman::{Memory, Sight, Whitened, whiten};
pub use least_squares::{Fitted, NoFit, least_squares};
pub use order::{sort_by, sort_by_key};
#[cfg(feature = "survey")]
pub use quantile::{chi2_quantile, f_quantile, normal_quantile, t_cdf, t_quantile, tau_quantile};
pub use robust::{HUBER_95, SD_OVER_MEDIAN, TUKEY_95, huber_weight, normal_efficiency, tukey_weight};
pub use root::{NoRoot, find_root};
