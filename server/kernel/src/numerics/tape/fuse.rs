//! Joins an operation with the one that alone needs its value, so that values pass through
//! memory less often.

use super::{First, Operation, Register, Second};

/// Fuses pairs of operations; the registers in `kept` are read from outside and stay.
pub(super) fn fuse(operations: &mut [Operation], kept: &[Register]) {
    let mut uses = vec![0_usize; operations.len()];
    for operation in operations.iter() {
        for_operands(operation, &mut |register| uses[register] += 1);
    }
    for register in kept {
        uses[*register] += 2;
    }
    for place in (0..operations.len()).rev() {
        if let Some((inner, fused)) = fused(operations, &uses, place) {
            operations[inner] = Operation::Done;
            operations[place] = fused;
        }
    }
}

fn fused(operations: &[Operation], uses: &[usize], place: usize) -> Option<(Register, Operation)> {
    let (a, b, left, right) = match operations[place] {
        Operation::Add(a, b) => (a, b, Second::Add, Second::Add),
        Operation::Subtract(a, b) => (a, b, Second::Minus, Second::From),
        Operation::Multiply(a, b) => (a, b, Second::Multiply, Second::Multiply),
        Operation::Divide(a, b) => (a, b, Second::Over, Second::Under),
        _ => return None,
    };
    // The divisor first: it is the longer side of most quotients.
    [(b, a, right), (a, b, left)]
        .into_iter()
        .find_map(|(inner, other, second)| {
            let (first, c, d) = match operations[inner] {
                Operation::Add(c, d) => (First::Add, c, d),
                Operation::Subtract(c, d) => (First::Subtract, c, d),
                Operation::Multiply(c, d) => (First::Multiply, c, d),
                Operation::Power(c, 2) => (First::Multiply, c, c),
                _ => return None,
            };
            (uses[inner] == 1).then(|| (inner, Operation::Fused(first, second, [c, d, other])))
        })
}

fn for_operands(operation: &Operation, see: &mut impl FnMut(Register)) {
    match operation {
        Operation::Constant(_) | Operation::Input(_) | Operation::Done => {}
        Operation::Negate(a)
        | Operation::Power(a, _)
        | Operation::Root(_, a)
        | Operation::Call(_, a)
        | Operation::LogOnePlus(a)
        | Operation::ExpMinusOne(a)
        | Operation::OneMinusCosine(a)
        | Operation::Complement(a)
        | Operation::IsInteger(a) => see(*a),
        Operation::Add(a, b)
        | Operation::Subtract(a, b)
        | Operation::Multiply(a, b)
        | Operation::Divide(a, b)
        | Operation::GeneralPower(a, b, _)
        | Operation::Least(a, b)
        | Operation::Greatest(a, b)
        | Operation::Compare(a, _, b)
        | Operation::Guard(a, b) => [*a, *b].into_iter().for_each(see),
        Operation::Select(a, b, c) => [*a, *b, *c].into_iter().for_each(see),
        Operation::Fused(_, _, all) => all.iter().copied().for_each(see),
        Operation::Repeat(repeat) => {
            repeat.captured.iter().for_each(|(_, own)| see(*own));
            see(repeat.from);
            repeat.to.iter().copied().for_each(see);
        }
    }
}
