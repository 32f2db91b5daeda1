//! Reed-Solomon over bytes, as ISO/IEC 18004 wants it: the field of 256 elements
//! with the polynomial 285, the first root being 1.

/// Powers and logarithms of the field.
pub(super) struct Field {
    exp: [u8; 512],
    log: [u8; 256],
}

impl Field {
    pub fn new() -> Self {
        let mut field = Self { exp: [0; 512], log: [0; 256] };
        let mut power = 1_u16;
        for index in 0..255_u8 {
            field.log[usize::from(power & 255)] = index;
            field.exp[usize::from(index)] = power as u8;
            field.exp[usize::from(index) + 255] = power as u8;
            power = (power << 1) ^ if power & 128 != 0 { 285 } else { 0 };
        }
        field
    }

    fn power(&self, exponent: usize) -> u8 {
        self.exp[exponent % 255]
    }

    fn times(&self, a: u8, b: u8) -> u8 {
        if a == 0 || b == 0 {
            return 0;
        }
        self.exp[usize::from(self.log[usize::from(a)]) + usize::from(self.log[usize::from(b)])]
    }

    /// Nothing is divided by 0: then the answer is 0.
    fn over(&self, a: u8, b: u8) -> u8 {
        self.times(
            a,
            if b == 0 { 0 } else { self.power(255 - usize::from(self.log[usize::from(b)])) },
        )
    }

    /// The value of a polynomial, its highest term first.
    fn value(&self, polynomial: &[u8], x: u8) -> u8 {
        polynomial.iter().fold(0, |sum, term| self.times(sum, x) ^ term)
    }

    /// What has to follow the data so that `count` roots are in the whole.
    pub fn check(&self, data: &[u8], count: usize) -> Vec<u8> {
        let mut generator = vec![1_u8];
        for root in 0..count {
            generator.push(0);
            for index in (1..generator.len()).rev() {
                generator[index] ^= self.times(generator[index - 1], self.power(root));
            }
        }
        let mut rest = data.to_vec();
        rest.resize(data.len() + count, 0);
        for index in 0..data.len() {
            let lead = rest[index];
            for (term, factor) in rest[index..].iter_mut().zip(&generator) {
                *term ^= self.times(lead, *factor);
            }
        }
        rest.split_off(data.len())
    }

    fn syndromes(&self, block: &[u8], count: usize) -> Vec<u8> {
        (0..count).map(|root| self.value(block, self.power(root))).collect()
    }

    /// Corrects up to `count / 2` wrong bytes of a block (Berlekamp, Massey,
    /// Forney). False when there are more.
    pub fn correct(&self, block: &mut [u8], count: usize) -> bool {
        let syndromes = self.syndromes(block, count);
        let none = |syndromes: &[u8]| syndromes.iter().all(|one| *one == 0);
        if none(&syndromes) {
            return true;
        }
        // Lowest terms first.
        let mut locator = vec![0_u8; count + 1];
        locator[0] = 1;
        let mut before = locator.clone();
        let (mut errors, mut since, mut last) = (0, 1, 1_u8);
        for at in 0..count {
            let off = (0..=errors.min(at))
                .fold(0, |sum, index| sum ^ self.times(locator[index], syndromes[at - index]));
            if off != 0 {
                let kept = locator.clone();
                let factor = self.over(off, last);
                for index in since..=count {
                    locator[index] ^= self.times(factor, before[index - since]);
                }
                if 2 * errors <= at {
                    (errors, before, last, since) = (at + 1 - errors, kept, off, 0);
                }
            }
            since += 1;
        }
        let mut sizes: Vec<u8> = (0..count)
            .map(|at| (0..=at).fold(0, |sum, i| sum ^ self.times(locator[i], syndromes[at - i])))
            .collect();
        // Highest terms first, and those of the derivative.
        sizes.reverse();
        let mut slope = locator.clone();
        slope.iter_mut().step_by(2).for_each(|term| *term = 0);
        locator.reverse();
        slope.reverse();
        let length = block.len();
        for (index, byte) in block.iter_mut().enumerate() {
            let x = self.power(255 - (length - 1 - index) % 255);
            if self.value(&locator, x) == 0 {
                *byte ^= self.over(self.value(&sizes, x), self.value(&slope, x));
            }
        }
        none(&self.syndromes(block, count))
    }
}
