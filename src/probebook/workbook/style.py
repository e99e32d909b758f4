"""How a form looks. Colours come from JupyterLab's own theme, so that light and dark both have their contrast."""

from __future__ import annotations

__all__ = ["STYLE"]

STYLE = """<style>
.pb-form { max-width: 46rem; margin: 4px 0 12px; padding: 12px 16px 14px; gap: 10px; overflow: visible;
  color: var(--jp-ui-font-color1, #1c1c1c); background: var(--jp-layout-color1, #fff);
  border: 1px solid var(--jp-border-color1, #b5b5b5); border-radius: 6px; }
.pb-form, .pb-form .widget-html-content, .pb-form label, .pb-form .widget-label {
  font-family: var(--jp-content-font-family, sans-serif); font-size: var(--jp-content-font-size1, 14px);
  line-height: 1.5; }
.pb-form .widget-html { margin: 0; width: auto; height: auto; overflow: visible; }
.pb-form .widget-html-content { white-space: normal; overflow: visible; }
.pb-form .widget-box, .pb-form .jupyter-widget-vbox, .pb-form .jupyter-widget-hbox { overflow: visible; }
.pb-form .pb-style, .pb-form .widget-html:has(> .widget-html-content:empty) { display: none; }
.pb-form .pb-field { gap: 4px; margin: 0; }
.pb-form .pb-label { font-weight: 600; }
.pb-form .pb-label span { font-weight: 400; color: var(--jp-ui-font-color2, #595959); }

/* Typed quantities: the label stands above its box and wraps. */
.pb-form .pb-quantity { flex-direction: column; align-items: flex-start; width: auto; height: auto; margin: 0;
  gap: 4px; overflow: visible; }
.pb-form .pb-quantity > label { width: auto; max-width: 100%; height: auto; text-align: left; font-weight: 600;
  line-height: 1.5; white-space: normal; overflow: visible; color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-form .pb-quantity > input { flex: none; width: 17rem; max-width: 100%; height: 34px; padding: 4px 8px;
  font-size: 15px; color: var(--jp-ui-font-color1, #1c1c1c); background: var(--jp-layout-color0, #fff);
  border: 1px solid var(--jp-ui-font-color2, #595959); border-radius: 4px; }
.pb-form .pb-quantity > input::placeholder { color: var(--jp-ui-font-color2, #595959); opacity: 1; }

/* Choices: long texts wrap beside their mark, and the whole line is the target. */
.pb-form .pb-choice { flex-direction: column; align-items: stretch; width: auto; height: auto; margin: 0; gap: 4px;
  overflow: visible; }
.pb-form .pb-choice > label { width: auto; height: auto; text-align: left; font-weight: 600; white-space: normal;
  line-height: 1.5; overflow: visible; color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-form .pb-choice .widget-radio-box { margin: 0; gap: 2px; }
.pb-form .pb-choice .widget-radio-box label { flex-direction: row-reverse; justify-content: flex-end; }
.pb-form .pb-choice .widget-radio-box label, .pb-form .pb-tick label {
  display: flex; align-items: flex-start; gap: 8px; width: auto; height: auto; min-height: 24px; margin: 0;
  padding: 3px 6px; white-space: normal; overflow: visible; text-overflow: clip; cursor: pointer; border-radius: 4px;
  color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-form .pb-choice .widget-radio-box label:hover, .pb-form .pb-tick label:hover {
  background: var(--jp-layout-color2, #eee); }
.pb-form .pb-choice input[type="radio"], .pb-form .pb-tick input[type="checkbox"] {
  flex: none; align-self: flex-start; width: 16px; height: 16px; margin: 3px 0 0;
  accent-color: var(--jp-brand-color1, #1976d2); }
.pb-form .pb-tick { width: auto; height: auto; margin: 0; overflow: visible; }
.pb-form .pb-tick .widget-label-basic { display: flex; width: auto; overflow: visible; line-height: 1.5; }
.pb-form .pb-tick span { white-space: normal; overflow: visible; text-overflow: clip; line-height: 1.5; }

/* Steps to put in order. */
.pb-form .pb-step { align-items: center; gap: 6px; margin: 0; padding: 3px 6px; border-radius: 4px;
  border: 1px solid var(--jp-border-color2, #d5d5d5); }
.pb-form .pb-step .widget-html { flex: 1 1 auto; min-width: 0; }
.pb-form .pb-step .widget-html-content { padding-left: 1.7em; text-indent: -1.7em; }
.pb-form .pb-step b { display: inline-block; width: 1.7em; text-indent: 0; }

.pb-form .pb-actions { align-items: center; flex-wrap: wrap; gap: 10px; margin: 0; }
.pb-form .jupyter-button { width: auto; min-width: 4.2rem; height: 34px; margin: 0; padding: 0 14px; line-height: 1;
  border-radius: 4px; font-size: 14px; color: var(--jp-ui-font-color1, #1c1c1c);
  background: var(--jp-layout-color2, #eee); border: 1px solid var(--jp-border-color0, #8a8a8a); box-shadow: none; }
.pb-form .pb-step .jupyter-button { flex: none; min-width: 4.8rem; height: 30px; padding: 0 6px; }
.pb-form .jupyter-button:disabled { opacity: 0.5; }
.pb-form .jupyter-button.mod-primary { color: #fff; background: #0b57a4; border-color: #0b57a4; font-weight: 600; }
.pb-form button:focus-visible, .pb-form input:focus-visible {
  outline: 3px solid var(--jp-brand-color1, #1976d2); outline-offset: 2px; }

/* The verdict: a word and a sign; the stripe of colour only goes with them. */
.pb-verdict { padding: 8px 12px; border-left: 5px solid var(--pb-tone, #767676); border-radius: 0 4px 4px 0;
  background: var(--jp-layout-color2, #f1f1f1); overflow-wrap: anywhere; }
.pb-verdict p { margin: 2px 0 0; }
.pb-verdict ul { margin: 4px 0 0; padding-left: 1.2em; }
.pb-verdict .pb-word { font-weight: 700; }
.pb-verdict .pb-note { font-style: italic; }
.pb-right { --pb-tone: #2e7d32; } .pb-partly { --pb-tone: #b26a00; } .pb-slip { --pb-tone: #b26a00; }
.pb-wrong { --pb-tone: #c62828; } .pb-critical { --pb-tone: #c62828; }
.pb-working { padding: 2px 12px; border-left: 5px solid var(--jp-border-color1, #b5b5b5); overflow-wrap: anywhere; }
.pb-working p, .pb-working ul, .pb-working ol { margin: 6px 0; }
.pb-table { border-collapse: collapse; margin: 4px 0; font-size: var(--jp-content-font-size1, 14px);
  color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-table caption { text-align: left; font-weight: 600; padding: 2px 0 6px; }
.pb-table th, .pb-table td { padding: 4px 12px 4px 8px; text-align: left; vertical-align: top;
  border-bottom: 1px solid var(--jp-border-color2, #d5d5d5); }
.pb-table td.pb-figure, .pb-table th.pb-figure { text-align: right; font-variant-numeric: tabular-nums; }
.pb-notice p { margin: 2px 0; line-height: 1.5; color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-next { margin: 6px 0 2px; color: var(--jp-ui-font-color1, #1c1c1c); }
.pb-working > :first-child { margin-top: 0; } .pb-working > :last-child { margin-bottom: 0; }
@media (max-width: 480px) {
  .pb-form { padding: 10px; }
  .pb-form .pb-step { flex-wrap: wrap; }
  .pb-form .pb-step .widget-html { flex-basis: 100%; }
}
</style>"""
