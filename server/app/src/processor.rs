//! Whether this processor can run what was built: told in one line instead of an illegal
//! instruction.

/// What is missing, as a sentence; `None` if nothing is, or if it is not known for what the
/// program was built.
pub(crate) fn shortfall() -> Option<String> {
    sentence(
        option_env!("TARGET_CPU")?,
        &missing(option_env!("TARGET_CPU")?),
    )
}

fn sentence(level: &str, missing: &[&str]) -> Option<String> {
    if missing.is_empty() {
        return None;
    }
    Some(format!(
        "this build is for processors of the level {level}, and this one lacks {}; build it again with TARGET_CPU set to an older level",
        missing.join(", ")
    ))
}

/// The features of the level that this processor lacks. Levels as the x86-64 psABI names them.
#[cfg(target_arch = "x86_64")]
fn missing(level: &str) -> Vec<&'static str> {
    use std::arch::is_x86_feature_detected as has;
    let second = [
        ("sse3", has!("sse3")),
        ("ssse3", has!("ssse3")),
        ("sse4.1", has!("sse4.1")),
        ("sse4.2", has!("sse4.2")),
        ("popcnt", has!("popcnt")),
    ];
    let third = [
        ("avx", has!("avx")),
        ("avx2", has!("avx2")),
        ("bmi1", has!("bmi1")),
        ("bmi2", has!("bmi2")),
        ("f16c", has!("f16c")),
        ("fma", has!("fma")),
        ("lzcnt", has!("lzcnt")),
        ("movbe", has!("movbe")),
    ];
    let fourth = [
        ("avx512f", has!("avx512f")),
        ("avx512bw", has!("avx512bw")),
        ("avx512cd", has!("avx512cd")),
        ("avx512dq", has!("avx512dq")),
        ("avx512vl", has!("avx512vl")),
    ];
    let needed: &[&[(&'static str, bool)]] = match level {
        "x86-64-v2" => &[&second],
        "x86-64-v3" => &[&second, &third],
        "x86-64-v4" => &[&second, &third, &fourth],
        _ => &[],
    };
    needed
        .iter()
        .flat_map(|features| features.iter())
        .filter(|(_, here)| !here)
        .map(|(name, _)| *name)
        .collect()
}

#[cfg(not(target_arch = "x86_64"))]
fn missing(_level: &str) -> Vec<&'static str> {
    Vec::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_processor_that_built_and_runs_this_suffices() {
        assert_eq!(shortfall(), None);
        assert!(missing("x86-64").is_empty());
    }

    #[test]
    fn what_is_missing_is_told_in_one_line() {
        let told = sentence("x86-64-v3", &["avx2", "fma"]).unwrap_or_default();
        assert!(told.contains("avx2, fma") && !told.contains('\n'), "{told}");
        assert_eq!(sentence("x86-64-v3", &[]), None);
    }
}
