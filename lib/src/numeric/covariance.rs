//! A covariance matrix, and its principal axes.

use nalgebra::{DMatrix, SymmetricEigen};

use super::sort_by;

/// A symmetric positive semi-definite matrix, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Covariance {
    size: usize,
    rows: Vec<f64>,
}

impl Covariance {
    /// From its entries row by row; the two triangles are averaged.
    ///
    /// Returns `None` when the count is not `size` squared or an entry is not finite.
    #[must_use]
    pub fn from_rows(size: usize, entries: &[f64]) -> Option<Self> {
        if entries.len() != size * size || entries.iter().any(|v| !v.is_finite()) {
            return None;
        }
        let mut rows = entries.to_vec();
        for i in 0..size {
            for j in 0..i {
                let mean = 0.5 * (rows[i * size + j] + rows[j * size + i]);
                rows[i * size + j] = mean;
                rows[j * size + i] = mean;
            }
        }
        Some(Self { size, rows })
    }

    /// Number of rows.
    #[must_use]
    pub fn size(&self) -> usize {
        self.size
    }

    /// One entry; panics outside the matrix.
    #[must_use]
    pub fn get(&self, row: usize, column: usize) -> f64 {
        assert!(
            row < self.size && column < self.size,
            "entry ({row}, {column}) of a {0} x {0} matrix",
            self.size
        );
        self.rows[row * self.size + column]
    }

    /// Square root of a diagonal entry.
    #[must_use]
    pub fn sd(&self, index: usize) -> f64 {
        self.get(index, index).max(0.0).sqrt()
    }

    /// Variance of a linear function with these coefficients: gᵀ Σ g.
    #[must_use]
    pub fn variance_of(&self, coefficients: &[f64]) -> f64 {
        let n = self.size.min(coefficients.len());
        (0..n)
            .flat_map(|i| (0..n).map(move |j| (i, j)))
            .map(|(i, j)| coefficients[i] * self.get(i, j) * coefficients[j])
            .sum()
    }

    /// All entries times `factor`.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self { size: self.size, rows: self.rows.iter().map(|v| v * factor).collect() }
    }
}

/// The principal axes of a covariance: directions in which the error is uncorrelated,
/// each as long as its standard deviation, so that the matrix is Σₖ aₖ aₖᵀ.
///
/// The matrix is scaled to correlations first; the axes come in the order of those
/// eigenvalues, largest first. An eigenvector's sign is arbitrary, so the largest
/// component is made positive. Axes whose eigenvalue is below 1e-12 of the largest
/// are dropped.
/// Returns `None` if the eigenvalues do not converge.
#[must_use]
pub(crate) fn principal_axes(covariance: &Covariance) -> Option<Vec<Vec<f64>>> {
    let n = covariance.size;
    // Units differ (metres, radians): scale each by its standard deviation first, or
    // the small ones are lost in the rounding of the large ones.
    let sds: Vec<f64> = (0..n).map(|i| covariance.sd(i)).collect();
    let unit = |i: usize| if sds[i] > 0.0 { sds[i] } else { 1.0 };
    let correlation = DMatrix::from_fn(n, n, |i, j| covariance.get(i, j) / (unit(i) * unit(j)));
    let eigen = SymmetricEigen::try_new(correlation, f64::EPSILON, 10_000)?;
    let mut order: Vec<usize> = (0..n).collect();
    sort_by(&mut order, |&i, &j| eigen.eigenvalues[j].total_cmp(&eigen.eigenvalues[i]));
    let largest = order.first().map_or(0.0, |&i| eigen.eigenvalues[i]);
    let axes = order
        .into_iter()
        .filter(|&k| eigen.eigenvalues[k] > 1e-12 * largest)
        .map(|k| {
            let length = eigen.eigenvalues[k].sqrt();
            let column: Vec<f64> = (0..n).map(|i| eigen.eigenvectors[(i, k)]).collect();
            let lead = column.iter().fold(0.0f64, |m, v| if v.abs() > m.abs() + 1e-9 { *v } else { m });
            let sign = if lead < 0.0 { -1.0 } else { 1.0 };
            column.iter().enumerate().map(|(i, v)| sign * v * length * unit(i)).collect()
        })
        .collect();
    Some(axes)
}

/// What a principal axis adds to a variance: ½(up² + down²), from the changes of a result
/// over one step along the axis either way.
#[must_use]
pub(crate) fn mean_square(up: f64, down: f64) -> f64 {
    0.5 * (up * up + down * down)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_recompose_the_matrix_whatever_the_units() {
        let c = Covariance::from_rows(3, &[4.0, 1e-6, 0.5, 1e-6, 1e-10, 0.0, 0.5, 0.0, 0.3]).unwrap();
        let axes = principal_axes(&c).unwrap();
        for i in 0..3 {
            for j in 0..3 {
                let sum: f64 = axes.iter().map(|a| a[i] * a[j]).sum();
                let scale = c.sd(i) * c.sd(j);
                assert!((sum - c.get(i, j)).abs() < 1e-12 * scale, "{i} {j}");
            }
        }
    }

    #[test]
    fn a_rank_one_matrix_has_one_axis() {
        let c = Covariance::from_rows(2, &[1.0, 2.0, 2.0, 4.0]).unwrap();
        let axes = principal_axes(&c).unwrap();
        assert_eq!(axes.len(), 1);
        assert!((axes[0][0] - 1.0).abs() < 1e-12 && (axes[0][1] - 2.0).abs() < 1e-12);
    }

    #[test]
    fn refuses_what_is_no_matrix() {
        assert!(Covariance::from_rows(2, &[1.0, 0.0, 0.0]).is_none());
        assert!(Covariance::from_rows(1, &[f64::NAN]).is_none());
    }
}
