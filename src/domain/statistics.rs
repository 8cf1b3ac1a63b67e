//! The few statistics that a trend needs: a straight line with its interval, a robust slope, and a
//! robust score. Numbers only; what they are the trade's business is told in `trend`.

/// A straight line through points by least squares, unweighted, with an intercept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// y for each x.
    pub slope: f64,
    /// y at x = 0.
    pub intercept: f64,
    /// Standard error of the slope; 0 where the points lie on the line.
    pub slope_error: f64,
    /// Standard error of the intercept.
    pub intercept_error: f64,
    /// Standard deviation of the residuals, with n - 2 degrees of freedom.
    pub residual: f64,
    /// How many points.
    pub n: usize,
}

/// Fits a line; `None` under 3 points, and where all x are the same.
///
/// Sums are taken about the means, so that a large constant in x or y costs no digits.
pub fn least_squares(points: &[(f64, f64)]) -> Option<Line> {
    let n = points.len();
    if n < 3 {
        return None;
    }
    let count = n as f64;
    let mean_x = points.iter().map(|(x, _)| x).sum::<f64>() / count;
    let mean_y = points.iter().map(|(_, y)| y).sum::<f64>() / count;
    let about = points.iter().map(|(x, y)| (x - mean_x, y - mean_y));
    let (sxx, sxy) =
        about.clone().fold((0.0, 0.0), |(sxx, sxy), (x, y)| (sxx + x * x, sxy + x * y));
    if sxx <= 0.0 {
        return None;
    }
    let slope = sxy / sxx;
    let squares: f64 = about.map(|(x, y)| (y - slope * x).powi(2)).sum();
    let residual = (squares / (count - 2.0)).sqrt();
    Some(Line {
        slope,
        intercept: mean_y - slope * mean_x,
        slope_error: residual / sxx.sqrt(),
        intercept_error: residual * (1.0 / count + mean_x * mean_x / sxx).sqrt(),
        residual,
        n,
    })
}

/// Fits one slope to groups of points that each have an intercept of their own, and returns the ends
/// of its two-sided 95 % interval; `None` where the points leave nothing to judge the spread by.
pub fn common_slope(groups: &[Vec<(f64, f64)>]) -> Option<(f64, f64)> {
    let centred: Vec<(f64, f64)> = groups
        .iter()
        .flat_map(|group| {
            let count = group.len() as f64;
            let mean_x = group.iter().map(|(x, _)| x).sum::<f64>() / count;
            let mean_y = group.iter().map(|(_, y)| y).sum::<f64>() / count;
            group.iter().map(move |(x, y)| (x - mean_x, y - mean_y))
        })
        .collect();
    let filled = groups.iter().filter(|group| !group.is_empty()).count();
    let freedom = centred.len().checked_sub(filled + 1).filter(|&freedom| freedom > 0)?;
    let sxx: f64 = centred.iter().map(|(x, _)| x * x).sum();
    if sxx <= 0.0 {
        return None;
    }
    let slope = centred.iter().map(|(x, y)| x * y).sum::<f64>() / sxx;
    let squares: f64 = centred.iter().map(|(x, y)| (y - slope * x).powi(2)).sum();
    let reach = student_t(0.95, freedom) * (squares / freedom as f64 / sxx).sqrt();
    Some((slope - reach, slope + reach))
}

impl Line {
    /// Returns the ends of the slope's two-sided 95 % interval, lower first.
    pub fn slope_interval(&self) -> (f64, f64) {
        let reach = student_t(0.95, self.n - 2) * self.slope_error;
        (self.slope - reach, self.slope + reach)
    }
}

/// Returns the t that Student's distribution with `freedom` (1 or more) degrees of freedom exceeds
/// neither way with probability `level`, which lies between 0 and 1.
///
/// The probability within ±t is a finite sum in the angle atan(t / √ν) (Abramowitz and Stegun,
/// Handbook of Mathematical Functions, 26.7.3 and 26.7.4, from memory); all its terms are positive,
/// so the angle is found by halving to the last digits of a double.
pub fn student_t(level: f64, freedom: usize) -> f64 {
    let freedom = freedom.max(1);
    let (mut low, mut high) = (0.0, std::f64::consts::FRAC_PI_2);
    for _ in 0..80 {
        let middle = (low + high) / 2.0;
        if within(middle, freedom) < level { low = middle } else { high = middle }
    }
    (freedom as f64).sqrt() * libm::tan((low + high) / 2.0)
}

/// The probability that Student's t lies within ±√ν · tan(angle).
fn within(angle: f64, freedom: usize) -> f64 {
    let (sine, cosine) = libm::sincos(angle);
    let odd = freedom % 2 == 1;
    let (mut term, mut sum) = (if odd { cosine } else { 1.0 }, 0.0);
    let mut k = if odd { 1 } else { 0 };
    while k + 2 <= freedom {
        sum += term;
        term *= cosine * cosine * ((k + 1) as f64) / ((k + 2) as f64);
        k += 2;
    }
    if odd { std::f64::consts::FRAC_2_PI * (angle + sine * sum) } else { sine * sum }
}

/// Returns the median; `None` of nothing.
pub fn median(values: &[f64]) -> Option<f64> {
    let mut values = values.to_vec();
    values.sort_unstable_by(f64::total_cmp);
    let upper = values.get(values.len() / 2)?;
    let lower = values.get((values.len() - 1) / 2)?;
    Some((lower + upper) / 2.0)
}

/// Returns the median of the slopes of all pairs of points with different x (Theil and Sen); `None`
/// where there is no such pair.
pub fn theil_sen(points: &[(f64, f64)]) -> Option<f64> {
    let pairs = points
        .iter()
        .enumerate()
        .flat_map(|(place, &one)| points.iter().skip(place + 1).map(move |&other| (one, other)));
    let slopes: Vec<f64> = pairs
        .filter(|((x1, _), (x2, _))| x1 != x2)
        .map(|((x1, y1), (x2, y2))| (y2 - y1) / (x2 - x1))
        .collect();
    median(&slopes)
}

/// Score above which a value is called unlike the others (Iglewicz and Hoaglin's modified z-score,
/// NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17, from memory).
pub const UNLIKE: f64 = 3.5;

/// Scores each value by its distance from the median, in robust standard deviations: the median of
/// the absolute distances over 0.6745, and never less than `least`, which is what the values are
/// uncertain by themselves. Empty where there is no scale at all.
pub fn robust_scores(values: &[f64], least: f64) -> Vec<f64> {
    let Some(middle) = median(values) else { return Vec::new() };
    let apart: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    let scale = median(&apart).map_or(0.0, |apart| apart / 0.6745).max(least);
    if scale <= 0.0 {
        return Vec::new();
    }
    values.iter().map(|value| (value - middle) / scale).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Statistical Reference Datasets, linear regression, Norris: x, y.
    const NORRIS: [(f64, f64); 36] = [
        (0.2, 0.1),
        (337.4, 338.8),
        (118.2, 118.1),
        (884.6, 888.0),
        (10.1, 9.2),
        (226.5, 228.1),
        (666.3, 668.5),
        (996.3, 998.5),
        (448.6, 449.1),
        (777.0, 778.9),
        (558.2, 559.2),
        (0.4, 0.3),
        (0.6, 0.1),
        (775.5, 778.1),
        (666.9, 668.8),
        (338.0, 339.3),
        (447.5, 448.9),
        (11.6, 10.8),
        (556.0, 557.7),
        (228.1, 228.3),
        (995.8, 998.0),
        (887.6, 888.8),
        (120.2, 119.6),
        (0.3, 0.3),
        (0.3, 0.6),
        (556.8, 557.6),
        (339.1, 339.3),
        (887.2, 888.0),
        (999.0, 998.5),
        (779.0, 778.9),
        (11.1, 10.2),
        (118.3, 117.6),
        (229.2, 228.9),
        (669.1, 668.4),
        (448.9, 449.2),
        (0.5, 0.2),
    ];

    fn digits(found: f64, certified: f64) -> f64 {
        -((found - certified) / certified).abs().max(1e-16).log10()
    }

    #[test]
    fn the_certified_values_of_norris_are_met_to_nine_digits_and_more() {
        let line = least_squares(&NORRIS).unwrap();
        for (found, certified) in [
            (line.intercept, -0.262_323_073_774_029),
            (line.intercept_error, 0.232_818_234_301_152),
            (line.slope, 1.002_116_818_020_45),
            (line.slope_error, 0.429_796_848_199_937E-03),
            (line.residual, 0.884_796_396_144_373),
        ] {
            assert!(digits(found, certified) >= 11.0, "{found} against {certified}");
        }
        // R² 0.999993745883712: with the sum of squares about the mean it gives the residual one.
        let mean = NORRIS.iter().map(|(_, y)| y).sum::<f64>() / 36.0;
        let total: f64 = NORRIS.iter().map(|(_, y)| (y - mean).powi(2)).sum();
        let r2 = 1.0 - line.residual.powi(2) * 34.0 / total;
        assert!(digits(r2, 0.999_993_745_883_712) >= 11.0, "{r2}");
    }

    #[test]
    fn the_quantile_is_the_table_s() {
        // Student t, two-sided 95 %: table of the NIST/SEMATECH handbook.
        for (freedom, t) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (6, 2.447),
            (7, 2.365),
            (8, 2.306),
            (9, 2.262),
            (10, 2.228),
            (12, 2.179),
            (15, 2.131),
            (20, 2.086),
            (30, 2.042),
            (60, 2.000),
            (100, 1.984),
            (1_000_000, 1.960),
        ] {
            let found = student_t(0.95, freedom);
            assert!((found - t).abs() < 0.000_51, "{freedom}: {found}");
        }
    }

    #[test]
    fn the_quantile_has_every_digit_where_it_can_be_written_down() {
        // One degree: tan(0.95 π/2). Two: p √2 / √(1 - p²). Both follow from the density by hand.
        let one = libm::tan(0.95 * std::f64::consts::FRAC_PI_2);
        assert!(digits(student_t(0.95, 1), one) >= 14.0);
        let two = 0.95 * (2.0_f64 / (1.0 - 0.95 * 0.95)).sqrt();
        assert!(digits(student_t(0.95, 2), two) >= 14.0);
    }

    #[test]
    fn a_line_needs_three_points_that_do_not_stand_over_each_other() {
        assert_eq!(least_squares(&NORRIS[..2]), None);
        assert_eq!(least_squares(&[(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)]), None);
        let exact = least_squares(&[(1.0, 1.0), (2.0, 3.0), (3.0, 5.0)]).unwrap();
        assert_eq!((exact.slope, exact.slope_interval()), (2.0, (2.0, 2.0)));
    }

    #[test]
    fn a_slope_common_to_one_group_is_the_line_s_and_a_group_of_one_says_nothing() {
        let interval = least_squares(&NORRIS).unwrap().slope_interval();
        let common = common_slope(&[NORRIS.to_vec(), vec![(5.0, 700.0)], vec![]]).unwrap();
        assert!((common.0 - interval.0).abs() < 1e-12 && (common.1 - interval.1).abs() < 1e-12);
        // Two lines of one slope, a step between them: the step is no movement.
        let lines = [vec![(0.0, 0.0), (1.0, 2.0)], vec![(1.0, 50.0), (2.0, 52.0)]];
        assert_eq!(common_slope(&lines), Some((2.0, 2.0)));
        assert_eq!(common_slope(&[vec![(0.0, 0.0), (1.0, 2.0)], vec![(1.0, 50.0)]]), None);
    }

    #[test]
    fn one_wild_point_does_not_move_the_robust_slope() {
        let mut points: Vec<(f64, f64)> =
            (0..7).map(|x| (f64::from(x), f64::from(2 * x))).collect();
        points[3].1 = 100.0;
        assert_eq!(theil_sen(&points), Some(2.0));
        assert!(least_squares(&points).unwrap().slope_error > 1.0);
        assert_eq!(theil_sen(&[(1.0, 2.0), (1.0, 3.0)]), None);
    }

    #[test]
    fn a_value_unlike_the_others_is_scored_by_their_spread_or_by_its_own_uncertainty() {
        let scores = robust_scores(&[1.0, 2.0, 3.0, 4.0, 30.0], 0.0);
        assert!((scores[4] - 27.0 * 0.6745).abs() < 1e-12 && scores[0].abs() < UNLIKE);
        assert_eq!(robust_scores(&[1.0, 1.0, 1.0, 1.5], 0.0), Vec::<f64>::new());
        assert_eq!(robust_scores(&[1.0, 1.0, 1.0, 1.5], 0.25), [0.0, 0.0, 0.0, 2.0]);
        assert_eq!(median(&[]), None);
    }
}
