/** The one error of this folder: a record, or one value of it, that may not be written. */

/** A record is refused; `field` names what is wrong, `message` says it to the person. */
export class BadRecord extends Error {
  name = "BadRecord";

  /**
   * @param {string} field key of the envelope or payload, or path inside the body ("sphere_cD")
   * @param {string} message
   */
  constructor(field, message) {
    super(message);
    this.field = field;
  }
}
