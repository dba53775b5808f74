"""A world small enough to enumerate by hand."""

from dataclasses import replace

from footring.demo.parameters import Parameters

TINY = replace(
    Parameters(), lines=2, forms_a_line=2, treatments_a_line=4, decorations=8, glazes=6, twins=1, customers=2, batches=3,
    breadth=0.6, outside_makers=2, outside_share=0.1, readers=2, looks=0.6, misread=0.1, samples_share=0.05,
    left_over=0.2, moulds_replaced=0.8, lag_tail=0.3, doubtful=0.3, lettering_noise=0.05, sister_numbers=0.2, letters_lost=0.1,
)  # fmt: skip
