/** 2^27 + 1: splits a double into two halves of 26 bits, whose products are exact. */
const SPLITTER = 134217729;

/**
 * Sum of numbers and of products in about twice the working precision: every rounding error is caught exactly and
 * summed apart. Used where a small difference of large sums decides: residuals of a least-squares fit.
 * Valid for magnitudes from about 1e-140 to 1e140 (the splitting of a product overflows or underflows beyond).
 * Source: Ogita, Rump, Oishi, "Accurate sum and dot product", SIAM J. Sci. Comput. 26(6), 2005 (from memory);
 * Dekker 1971 for the exact product.
 */
export class CompensatedSum {
  private high = 0;
  private low = 0;

  /** Add one number. */
  add(term: number): void {
    const sum = this.high + term;
    const shadow = sum - this.high;
    this.low += this.high - (sum - shadow) + (term - shadow);
    this.high = sum;
  }

  /** Add the product a·b, its rounding error included. */
  addProduct(a: number, b: number): void {
    const product = a * b;
    const aSplit = SPLITTER * a;
    const aHigh = aSplit - (aSplit - a);
    const aLow = a - aHigh;
    const bSplit = SPLITTER * b;
    const bHigh = bSplit - (bSplit - b);
    const bLow = b - bHigh;
    const sum = this.high + product;
    const shadow = sum - this.high;
    this.low +=
      this.high -
      (sum - shadow) +
      (product - shadow) +
      (aLow * bLow - (product - aHigh * bHigh - aLow * bHigh - aHigh * bLow));
    this.high = sum;
  }

  /** The sum so far, rounded once. */
  value(): number {
    return this.high + this.low;
  }

  reset(): void {
    this.high = 0;
    this.low = 0;
  }
}
